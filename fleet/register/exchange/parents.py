"""Codes, numbers and days of a file as the rows that they name."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from fleet.platform.database.tenancy import Scope
from fleet.register.exchange.problems import RowError
from fleet.register.exchange.resource import Reference, Resource

Name = tuple[Any, ...]
_CHUNK = 5000


@dataclass(frozen=True, slots=True, kw_only=True)
class Parents:
    """The rows that a file's rows point at, looked up once."""

    found: Mapping[str, Mapping[Name, Mapping[str, int]]]

    def point(
        self, *, resource: Resource, row: int, values: Mapping[str, Any]
    ) -> tuple[dict[str, int | None], list[RowError]]:
        """Return the ids that a row points at, by attribute, and what is missing."""
        ids: dict[str, int | None] = {}
        errors = []
        for reference in resource.references:
            name = name_in(reference, values)
            if name is None:
                continue
            if reference.optional and _is_nothing(reference, values):
                ids[f"{reference.attribute}_id"] = None
                continue
            found = self.found[reference.attribute].get(name)
            if found is None:
                errors.append(_unknown(reference, name, row))
                continue
            ids[f"{reference.attribute}_id"] = found["pk"]
            for attribute, source in (reference.also or {}).items():
                ids[attribute] = found[source]
        return ids, errors


def load(
    *, scope: Scope, resource: Resource, rows: Iterable[Mapping[str, Any]]
) -> Parents:
    """Look up everything that the rows name, in one query for each reference."""
    rows = list(rows)
    return Parents(
        found={
            reference.attribute: _load(
                scope, reference, {name_in(reference, values) for values in rows}
            )
            for reference in resource.references
        }
    )


def name_in(reference: Reference, values: Mapping[str, Any]) -> Name | None:
    """Return the name that a row gives, or None if the file has no such columns."""
    if any(part.column not in values for part in reference.parts):
        return None
    return tuple(values[part.column] for part in reference.parts)


def _is_nothing(reference: Reference, values: Mapping[str, Any]) -> bool:
    return all(values[column] is None for column in reference.own)


def _load(
    scope: Scope, reference: Reference, names: set[Name | None]
) -> dict[Name, dict[str, int]]:
    lookups = [part.lookup for part in reference.parts]
    further = list((reference.also or {}).values())
    firsts = sorted({name[0] for name in names if name is not None})
    found = {}
    for start in range(0, len(firsts), _CHUNK):
        rows = reference.model.objects.within(scope).filter(
            **{f"{lookups[0]}__in": firsts[start : start + _CHUNK]}
        )
        for row in rows.values_list("pk", *further, *lookups):
            ids = dict(zip(["pk", *further], row, strict=False))
            found[tuple(row[1 + len(further) :])] = ids
    return found


def _unknown(reference: Reference, name: Name, row: int) -> RowError:
    told = ", ".join(
        f"{part.column} {value}"
        for part, value in zip(reference.parts, name, strict=True)
        if value is not None
    )
    what = reference.attribute.replace("_", " ")
    return RowError(
        row=row,
        column=reference.parts[-1].column,
        code="refers-to-nothing",
        detail=f"there is no {what} with {told}; bring it in first",
    )
