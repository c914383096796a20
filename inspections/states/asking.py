"""The state of many machines, read where its row holds and worked out where not."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import (
    Case,
    Count,
    Exists,
    F,
    IntegerField,
    Max,
    Min,
    OuterRef,
    Q,
    Subquery,
    When,
)

from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.models import MachineState, StateMark
from inspections.states.urgency import RULES, STATES
from inspections.states.working_out import worked_out

# Machines in doubt that are worked out by themselves; of more, all are.
_FEW = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingCounts:
    """How many machines are in each state, and whether every row holds today.

    `anew` are the places in `STATES` of the machines whose rows do not hold, worked out
    on asking; None where there are too many, or machines without a row.
    """

    counts: Mapping[str, int]
    checks_missed: int
    anew: Mapping[int, int] | None

    @property
    def rows_hold(self) -> bool:
        """Whether all that is said stands in rows that hold."""
        return self.anew is not None and not self.anew


def holding(*, today: date) -> Q:
    """Return what rows of states must fulfil to be read on a day, but for marks."""
    return Q(
        Q(holds_from=None) | Q(holds_from__lte=today),
        Q(changes_on=None) | Q(changes_on__gt=today),
        rules=RULES,
    )


def doubtful(*, scope: Scope, today: date) -> Any:
    """Return the rows that do not hold: marked, of other rules, out of their days."""
    rows = MachineState.objects.filter(contractor_id=scope.contractor_id)
    return rows.filter(_in_doubt(scope, today))


def _in_doubt(scope: Scope, today: date) -> Q:
    marks = StateMark.objects.filter(
        contractor_id=scope.contractor_id, machine_number=OuterRef("machine_id")
    )
    return ~holding(today=today) | Q(Exists(marks))


def in_service(*, scope: Scope) -> Any:
    """Return the rows of the machines in service, whether they hold or not."""
    return MachineState.objects.within(scope).filter(in_service=True)


def standing(*, scope: Scope, today: date) -> StandingCounts:
    """Return the counts of states; worked out where a row does not hold.

    One statement while all hold: a row that was erased has left a mark, too.
    """
    marks = StateMark.objects.filter(contractor_id=scope.contractor_id)
    counted = (
        in_service(scope=scope)
        .order_by()
        # The same as `holding`, by what it costs least to ask of all rows.
        .values("urgency", "checks_missed", "rules")
        .annotate(
            count=Count("pk"),
            from_last=Max("holds_from"),
            until_first=Min("changes_on"),
            marked=Exists(marks),
        )
    )
    rows = list(counted)
    counts = Counter(dict.fromkeys(STATES, 0))
    for row in rows:
        counts[STATES[row["urgency"]]] += row["count"]
    kept = StandingCounts(
        counts=dict(counts),
        checks_missed=sum(row["count"] for row in rows if row["checks_missed"]),
        anew={},
    )
    if rows and all(_holds(row, today) for row in rows):
        return kept
    of = sum(row["count"] for row in rows)
    if of != queries.active_machines(scope=scope).count():
        return _all_anew(scope, today)
    return _corrected(kept, scope, today)


def _holds(row: Mapping[str, Any], today: date) -> bool:
    """Return whether all rows that were counted together hold."""
    return (
        not row["marked"]
        and row["rules"] == RULES
        and (row["from_last"] is None or row["from_last"] <= today)
        and (row["until_first"] is None or row["until_first"] > today)
    )


def _corrected(kept: StandingCounts, scope: Scope, today: date) -> StandingCounts:
    """Return what rows say, with the machines in doubt worked out by themselves."""
    rows = in_service(scope=scope).filter(_in_doubt(scope, today)).order_by()
    found = list(rows.values_list("machine_id", "urgency", "checks_missed")[: _FEW + 1])
    if len(found) > _FEW:
        return _all_anew(scope, today)
    ids = [pk for pk, _, _ in found]
    of_them = queries.active_machines(scope=scope).filter(pk__in=ids).order_by()
    worked = of_them.annotate(urgency=worked_out(scope=scope, today=today))
    anew = dict(worked.values_list("pk", "urgency"))
    counts = Counter(kept.counts)
    counts.subtract(STATES[urgency] for _, urgency, _ in found)
    counts.update(STATES[urgency] for urgency in anew.values())
    return StandingCounts(
        counts=dict(counts),
        checks_missed=kept.checks_missed
        - sum(missed for _, _, missed in found)
        + queries.unchecked_machines(scope=scope, machine_ids=ids),
        anew=anew,
    )


def _all_anew(scope: Scope, today: date) -> StandingCounts:
    found = dict.fromkeys(STATES, 0)
    rows = _worked_out_where_in_doubt(scope, today).order_by()
    for row in rows.values("urgency").annotate(count=Count("pk")):
        found[STATES[row["urgency"]]] = row["count"]
    return StandingCounts(
        counts=found,
        checks_missed=queries.unchecked_machines(scope=scope),
        anew=None,
    )


def placed(anew: Mapping[int, int], *, machine: str, kept: str) -> Any:
    """Return an expression: where each machine stands, by its row or worked out anew.

    `machine` and `kept` lead from a row to its machine's id and to what is stored.
    """
    by_place: dict[int, list[int]] = {}
    for pk, at in anew.items():
        by_place.setdefault(at, []).append(pk)
    return Case(
        *(When(**{f"{machine}__in": pks}, then=at) for at, pks in by_place.items()),
        default=F(kept),
        output_field=IntegerField(),
    )


def machines(*, scope: Scope, today: date, said: StandingCounts | None = None) -> Any:
    """Return the machines in service, each with its `urgency`: a place in `STATES`.

    `said` is what `standing` said in the same transaction; left out, it is asked.
    """
    if said is None:
        said = standing(scope=scope, today=today)
    if said.anew is None:
        return _worked_out_where_in_doubt(scope, today)
    rows = queries.active_machines(scope=scope).filter(
        states__contractor_id=scope.contractor_id, states__in_service=True
    )
    return rows.annotate(
        urgency=placed(said.anew, machine="pk", kept="states__urgency")
        if said.anew
        else F("states__urgency")
    )


def _worked_out_where_in_doubt(scope: Scope, today: date) -> Any:
    """Return the machines in service, worked out by one statement where rows fail."""
    kept = MachineState.objects.filter(machine=OuterRef("pk"))
    marks = StateMark.objects.filter(
        contractor_id=scope.contractor_id, machine_number=OuterRef("pk")
    )
    holds = Exists(kept.filter(holding(today=today))) & ~Exists(marks)
    return queries.active_machines(scope=scope).annotate(
        urgency=Case(
            When(holds, then=Subquery(kept.values("urgency")[:1])),
            default=worked_out(scope=scope, today=today),
            output_field=IntegerField(),
        )
    )
