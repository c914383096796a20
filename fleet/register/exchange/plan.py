"""What a file would change: its rows beside the stored ones."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from fleet.platform.database.tenancy import Scope
from fleet.register.exchange import parents as parenthood
from fleet.register.exchange import rules
from fleet.register.exchange.parsing import Parsed
from fleet.register.exchange.problems import RowError
from fleet.register.exchange.resource import OCCURRENCE, Resource
from fleet.register.exchange.seats import SeatPlan

_CHUNK = 5000


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedRow:
    """One row to be stored: the model's row and what changes, by column."""

    row: int
    instance: Any
    is_new: bool
    attributes: tuple[str, ...]
    changes: Mapping[str, tuple[str, str]]
    name: str


@dataclass(slots=True, kw_only=True)
class Plan:
    """The rows of a file sorted into new, changed and unchanged."""

    scope: Scope
    resource: Resource
    planned: list[PlannedRow] = field(default_factory=list)
    errors: list[RowError] = field(default_factory=list)
    seats: SeatPlan | None = None
    stored: dict[tuple[Any, ...], list[Any]] = field(default_factory=dict)
    taken: dict[tuple[Any, ...], int] = field(default_factory=dict)

    def add(self, *, parsed: Parsed, ids: Mapping[str, int | None]) -> None:
        """Compare one row with what is stored under its key."""
        values = {c.name: parsed.values.get(c.name) for c in self.resource.own}
        key = tuple(ids[a] if a in ids else values[a] for a in self.resource.key)
        number = parsed.values.get(OCCURRENCE) or 1
        if (first := self.taken.get((*key, number))) is not None:
            self._refuse(parsed, "repeated", f"it repeats row {first}")
            return
        self.taken[*key, number] = parsed.row
        rows = self.stored.setdefault(key, [])
        if number > len(rows) + 1:
            detail = f"{OCCURRENCE} {number}: only {len(rows)} are known before it"
            self._refuse(parsed, "out-of-order", detail, column=OCCURRENCE)
            return
        if number == len(rows) + 1:
            instance = self._new(parsed, ids)
            if instance is not None:
                rows.append(instance)
        else:
            self._change(parsed, ids, rows[number - 1])

    def _new(self, parsed: Parsed, ids: Mapping[str, int | None]) -> Any:
        lacking = [
            column.name
            for column in self.resource.columns
            if column.is_needed and column.name not in parsed.values
        ]
        for name in lacking:
            detail = "the row is new, and a new row needs this column"
            self._refuse(parsed, "column-missing", detail, column=name)
        if lacking:
            return None
        own = {c.name for c in self.resource.own}
        fields = {n: v for n, v in parsed.values.items() if n in own}
        instance = self.resource.model(
            contractor_id=self.scope.contractor_id, **fields, **ids
        )
        self._keep(parsed, instance, is_new=True, changes={}, attributes=())
        return instance

    def _change(
        self, parsed: Parsed, ids: Mapping[str, int | None], instance: Any
    ) -> None:
        changes: dict[str, tuple[str, str]] = {}
        fresh: dict[str, Any] = {}
        for reference in self.resource.references:
            attribute = f"{reference.attribute}_id"
            if attribute in ids and ids[attribute] != getattr(instance, attribute):
                old = reference.name_of(instance)
                new = parenthood.name_in(reference, parsed.values) or ()
                changes[reference.parts[-1].column] = (_told(old), _told(new))
                fresh |= {a: ids[a] for a in (attribute, *(reference.also or {}))}
        for column in self.resource.own:
            if column.name not in parsed.values:
                continue
            was, value = getattr(instance, column.name), parsed.values[column.name]
            if was != value:
                changes[column.name] = (column.write(was), column.write(value))
                fresh[column.name] = value
        for name, value in fresh.items():
            setattr(instance, name, value)
        self._keep(
            parsed,
            instance,
            is_new=False,
            changes=changes,
            attributes=tuple(fresh),
        )

    def _keep(
        self,
        parsed: Parsed,
        instance: Any,
        *,
        is_new: bool,
        changes: dict[str, tuple[str, str]],
        attributes: tuple[str, ...],
    ) -> None:
        self.errors += _broken_rules(
            self.resource, parsed, instance, changes, is_new=is_new
        )
        if self.seats is not None:
            seated, errors = self.seats.compare(
                row=parsed.row, rope=instance, values=parsed.values
            )
            self.errors += errors
            changes |= {} if is_new else seated
        self.planned.append(
            PlannedRow(
                row=parsed.row,
                instance=instance,
                is_new=is_new,
                attributes=attributes,
                changes=changes,
                name=_name(self.resource, parsed),
            )
        )

    def _refuse(
        self, parsed: Parsed, code: str, detail: str, *, column: str = ""
    ) -> None:
        self.errors.append(
            RowError(row=parsed.row, column=column, code=code, detail=detail)
        )


def make(*, scope: Scope, resource: Resource, rows: Iterable[Parsed]) -> Plan:
    """Compare readable rows with what is stored; stored rows are locked."""
    rows = [parsed for parsed in rows if not parsed.errors]
    found = parenthood.load(
        scope=scope, resource=resource, rows=[parsed.values for parsed in rows]
    )
    plan = Plan(scope=scope, resource=resource)
    pointed = []
    for parsed in rows:
        ids, errors = found.point(
            resource=resource, row=parsed.row, values=parsed.values
        )
        plan.errors += errors
        if not errors:
            pointed.append((parsed, ids))
    _load_stored(plan, pointed)
    for parsed, ids in pointed:
        plan.add(parsed=parsed, ids=ids)
    return plan


def _load_stored(
    plan: Plan, pointed: list[tuple[Parsed, dict[str, int | None]]]
) -> None:
    """Lock and load the rows that the file may speak of, in order of their ids."""
    resource = plan.resource
    first = resource.key[0]
    values = sorted({ids.get(first) or p.values[first] for p, ids in pointed})
    paths = [
        "__".join([r.attribute, *p.lookup.split("__")[:-1]])
        for r in resource.references
        for p in r.parts
    ]
    found: list[Any] = []
    for start in range(0, len(values), _CHUNK):
        rows = resource.model.objects.within(plan.scope).filter(
            **{f"{first}__in": values[start : start + _CHUNK]}
        )
        if paths:
            rows = rows.select_related(*paths)
        found += rows.select_for_update(of=("self",)).order_by("pk")
    for row in found:
        plan.stored.setdefault(resource.key_of(row), []).append(row)
    if resource.companion is not None:
        plan.seats = SeatPlan(scope=plan.scope)
        plan.seats.load(rope_ids=[row.pk for row in found], rope_set_ids=values)


def _broken_rules(
    resource: Resource,
    parsed: Parsed,
    instance: Any,
    changes: Mapping[str, Any],
    *,
    is_new: bool,
) -> list[RowError]:
    found = []
    for rule in rules.rules_of(resource.model):
        # A stored row keeps the checks; only what changes can break one.
        if not is_new and not any(name in changes for name in rule.fields):
            continue
        if rule.is_broken(instance):
            column = next((n for n in rule.fields if n in parsed.values), "")
            value = getattr(instance, column or rule.fields[0])
            found.append(
                RowError(
                    row=parsed.row,
                    column=column,
                    code="out-of-range",
                    detail=f"{value} is out of range: {rule.words}",
                )
            )
    return found


def _name(resource: Resource, parsed: Parsed) -> str:
    names = (*resource.key_columns, *((OCCURRENCE,) if resource.numbered else ()))
    return _told(tuple(parsed.values.get(name) for name in names))


def _told(name: tuple[Any, ...]) -> str:
    return " / ".join(str(part) for part in name if part is not None)
