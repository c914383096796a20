"""The rows of states, worked out anew wherever something has changed."""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from django.db import connection
from django.db.models import Count, Max, Min

from fleet.platform.database.tenancy import Scope
from inspections import condition, queries
from inspections.models import Forecast, Grade, MachineState, Reading, StateMark, Stop
from inspections.states import asking, working_out
from inspections.states.urgency import RULES, urgency

_TOGETHER = 500
# What is worked out of a machine, and its type.
_WRITTEN = {
    "urgency": "smallint",
    "holds_from": "date",
    "changes_on": "date",
    "stops": "smallint",
    "stopped_since": "timestamptz",
    "checks_made": "smallint",
    "checks_of": "smallint",
    "checks_missed": "boolean",
    "last_read_at": "timestamptz",
    "says_most_id": "bigint",
    "first_id": "bigint",
}
_ARRAYS = ", ".join(f"%s::{kind}[]" for kind in ("bigint", *_WRITTEN.values()))
_UPDATE = f"""
UPDATE inspections_machinestate s SET version = s.version + 1, rules = %s,
     {", ".join(f"{name} = v.{name}" for name in _WRITTEN)}
FROM unnest({_ARRAYS}) AS v(machine_id, {", ".join(_WRITTEN)})
WHERE s.machine_id = v.machine_id AND s.contractor_id = %s
"""
_SEEN = """
DELETE FROM inspections_statemark WHERE id = ANY(%s::bigint[]) AND contractor_id = %s
"""


def refresh(
    *, scope: Scope, today: date, machine_ids: Sequence[int] | None = None
) -> None:
    """Work the states out whose rows do not hold: of some machines, or of all.

    Call it at the end of the transaction that changed something. Rows that another
    transaction is writing keep their marks and are worked out by whoever reads: waiting
    for it could stop both.
    """
    after = 0
    while True:
        rows = asking.doubtful(scope=scope, today=today).filter(pk__gt=after)
        if machine_ids is not None:
            rows = rows.filter(machine__in=list(machine_ids))
        locked = rows.order_by("pk").select_for_update(skip_locked=True, of=("self",))
        found = list(locked[:_TOGETHER])
        if not found:
            return
        after = found[-1].pk
        _write(scope, found, today)
        if len(found) < _TOGETHER:
            return


def _write(scope: Scope, rows: Sequence[MachineState], today: date) -> None:
    ids = [row.machine_id for row in rows]
    # Before anything is read: a mark that comes later stays for the next.
    marks = StateMark.objects.within(scope).filter(machine_number__in=ids)
    seen = list(marks.values_list("pk", flat=True))
    anew = dict(_worked_out(scope, ids, today))
    # Every row is there and held: this only updates, many rows by one short statement.
    columns = [[said[name] for said in anew.values()] for name in _WRITTEN]
    with connection.cursor() as cursor:
        cursor.execute(_UPDATE, [RULES, list(anew), *columns, scope.contractor_id])
        cursor.execute(_SEEN, [seen, scope.contractor_id])


def _worked_out(
    scope: Scope, ids: Sequence[int], today: date
) -> Iterator[tuple[int, dict[str, Any]]]:
    latest = queries.latest_assessments(scope=scope).filter(machine__in=ids)
    judged = {
        pk: (grade, checks)
        for pk, grade, checks in latest.values_list("machine_id", "grade", "checks")
    }
    stops = {
        row["machine_id"]: row
        for row in Stop.objects.within(scope)
        .filter(machine__in=ids, released_at=None)
        .order_by()
        .values("machine_id")
        .annotate(count=Count("pk"), since=Min("since"))
    }
    limits = condition.may_raise(Forecast.objects.within(scope).filter(current=True))
    first_own = dict(
        limits.filter(machine__in=ids)
        .order_by()
        .values("machine_id")
        .annotate(day=Min("plan_before_on"))
        .values_list("machine_id", "day")
    )
    readings = Reading.objects.within(scope).filter(machine__in=ids).order_by()
    read = dict(
        readings.values("machine_id")
        .annotate(last=Max("taken_at"))
        .values_list("machine_id", "last")
    )
    says = working_out.say_most(scope=scope, machine_ids=ids)
    says = dict(says.values_list("machine_id", "pk"))
    firsts = working_out.first_limits(scope=scope, machine_ids=ids)
    firsts = dict(firsts.values_list("machine_id", "pk"))
    for pk in ids:
        grade, checks = judged.get(pk, (Grade.NOT_ASSESSED.value, {}))
        at = urgency(
            is_stopped=pk in stops,
            grade=grade,
            plan_before=first_own.get(pk),
            today=today,
        )
        stop = stops.get(pk, {})
        yield (
            pk,
            {
                "urgency": at.at,
                "holds_from": at.holds_from,
                "changes_on": at.changes_on,
                "stops": stop.get("count", 0),
                "stopped_since": stop.get("since"),
                "checks_made": (checks or {}).get("made"),
                "checks_of": (checks or {}).get("of"),
                "checks_missed": bool((checks or {}).get("missed")),
                "last_read_at": read.get(pk),
                "says_most_id": says.get(pk),
                "first_id": firsts.get(pk),
            },
        )
