"""What corrected rules would say of machines before they say it; nothing is stored."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.assessment import storing
from inspections.assessment.assessing import anew
from inspections.models import Assessment, Cause, Finding

TOGETHER = 100

_Key = tuple[str, str, str]
_Standing = tuple[str, bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingChange:
    """One finding before and after; a grade is "" where there is no such finding."""

    topic: str
    place: str
    criterion: str
    before: str
    after: str
    newly_stops: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineChange:
    """A machine of which something else would be said; `rules_only` tells why."""

    code: str
    building: str
    before: str
    after: str
    rules_only: bool
    findings: tuple[FindingChange, ...]

    @property
    def newly_stops(self) -> bool:
        """Tell whether its office would be told to take it out of service."""
        return any(each.newly_stops for each in self.findings)


def preview(*, scope: Scope, as_of: datetime) -> Iterator[MachineChange | None]:
    """Yield for each machine in service what would change, None where nothing would.

    A machine that was read or changed since its last assessment is judged with that
    too: `rules_only` is False then.
    """
    ids = list(queries.active_machines(scope=scope).values_list("pk", flat=True))
    for start in range(0, len(ids), TOGETHER):
        yield from _some(scope, ids[start : start + TOGETHER], as_of)


def _some(
    scope: Scope, ids: Sequence[int], as_of: datetime
) -> Iterator[MachineChange | None]:
    last = storing.last_assessments(scope=scope, machine_ids=ids, lock=False)
    made = anew(scope=scope, machine_ids=ids, last=last, as_of=as_of)
    outcomes = {outcome.machine_id: outcome for outcome in made}
    known = [last[pk].pk for pk in outcomes if pk in last]
    grades = dict(
        Assessment.objects.within(scope)
        .filter(pk__in=known)
        .values_list("machine_id", "grade")
    )
    stood: dict[int, dict[_Key, _Standing]] = {}
    for row in (
        Finding.objects.within(scope).filter(assessment__in=known).order_by("pk")
    ):
        _worst(stood.setdefault(row.machine_id, {}), [row])
    machines = Machine.objects.within(scope).select_related("building").in_bulk(ids)
    for pk in ids:
        outcome = outcomes.get(pk)
        if outcome is None:
            yield None
            continue
        findings = tuple(_changes(stood.get(pk, {}), _worst({}, outcome.drafts)))
        before = grades.get(pk, "")
        if before == outcome.grade and not findings:
            yield None
            continue
        yield MachineChange(
            code=machines[pk].code,
            building=machines[pk].building.name,
            before=before,
            after=outcome.grade,
            rules_only=outcome.cause == Cause.RULES,
            findings=findings,
        )


def _worst(into: dict[_Key, _Standing], rows: Iterable[Any]) -> dict[_Key, _Standing]:
    """Put findings into a dictionary by what and where they are."""
    for row in rows:
        key = (str(row.topic), row.place[:80], row.criterion[:300])
        stopping = row.stops_service or into.get(key, ("", False))[1]
        into[key] = (str(row.grade), stopping)
    return into


def _changes(
    before: dict[_Key, _Standing], after: dict[_Key, _Standing]
) -> Iterator[FindingChange]:
    for key in sorted(before | after):
        old, new = before.get(key, ("", False)), after.get(key, ("", False))
        if old != new:
            topic, place, criterion = key
            yield FindingChange(
                topic=topic,
                place=place,
                criterion=criterion,
                before=old[0],
                after=new[0],
                newly_stops=new[1] and not old[1],
            )
