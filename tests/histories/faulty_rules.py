"""Faults put back into the rules themselves, where a filter on readings cannot."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from itertools import groupby
from typing import Any
from unittest.mock import patch

from tests.histories import faults
from tests.histories.faults import Faulty

_STRAY_MM = 0.2


@contextmanager
def stalled_hides() -> Iterator[None]:
    """Assess no traction and limit no seat where a stalled case fails as new."""
    from inspections.assessment import assessing
    from inspections.assessment.draft import not_assessed
    from inspections.assessment.load_cases import NOT_CLOSED_AS_NEW, STALLED
    from inspections.assessment.wear_limits import SEAT_DEPTH
    from inspections.reasons import Topic

    judge = assessing.judge

    def faulty(snapshot: Any) -> Any:
        drafts, limits, shared = judge(snapshot)
        if not any(each.topic is STALLED and each.margin < 0.0 for each in drafts):
            return drafts, limits, shared
        told = [d for d in drafts if not str(d.topic).startswith("traction")]
        hidden = not_assessed(topic=Topic.TRACTION, reason=NOT_CLOSED_AS_NEW)
        kept = [each for each in limits if each.quantity != SEAT_DEPTH]
        return [*told, hidden], kept, shared

    with patch.object(assessing, "judge", faulty):
        yield


def open_counts(snapshot: Any, draft: Any) -> bool:
    """Tell of the wires that it hangs on how they lie, which nobody was told."""
    return str(draft.topic) == "broken wires" and draft.grade == "NOT_ASSESSED"


def of_small_families(snapshot: Any, draft: Any) -> bool:
    """Tell of the diameter of a rope that its family prints no limit for."""
    prints_none = snapshot.criteria.code.startswith(("ASME", "MLIT", "ISO"))
    return prints_none and str(draft.topic) == "rope diameter"


def creep_without_modulus(snapshot: Any, draft: Any) -> bool:
    """Tell of an offset that is not judged, for want of a modulus."""
    unknown = snapshot.rope_set is None or snapshot.rope_set.modulus_mpa is None
    return unknown and str(draft.topic) == "creep over the sheave"


def untold(is_silent: Callable[[Any, Any], bool]) -> Faulty:
    """Return a fault that keeps some of a machine's findings to itself."""

    @contextmanager
    def put_back() -> Iterator[None]:
        from inspections.assessment import assessing

        judge = assessing.judge

        def faulty(snapshot: Any) -> Any:
            drafts, limits, shared = judge(snapshot)
            told = [each for each in drafts if not is_silent(snapshot, each)]
            return told, limits, shared

        with patch.object(assessing, "judge", faulty):
            yield

    return put_back


@contextmanager
def nothing_in_thirty() -> Iterator[None]:
    """Take a count over 30 d for none in any lay."""
    from inspections.engineering.discard import count
    from inspections.engineering.discard.observation import Window

    in_lay = count.in_lay

    def faulty(*, counted: Any, number: Any, what: Any) -> Any:
        found = in_lay(counted=counted, number=number, what=what)
        if number is None or counted.window is not Window.THIRTY_DIAMETERS:
            return found
        return replace(found, low=0, high=0)

    with patch.object(count, "in_lay", faulty):
        yield


@contextmanager
def strays_erase_dates() -> Iterator[None]:
    """Give no planning date where the last reading lies deeper than the others."""
    from inspections import forecasts
    from inspections.models import Forecast, Reading

    project = forecasts.project

    def faulty(**given: Any) -> int:
        stand = project(**given)
        read = Reading.objects.within(given["scope"]).filter(
            machine__in=given["machine_ids"],
            kind__in=("bottom_clearance", "rope_crown_height"),
        )
        rows = read.order_by("groove", "kind", "taken_at", "pk")
        strays = set()
        for at, group in groupby(rows, key=lambda row: (row.groove_id, row.kind)):
            values = [row.value for row in group]
            if len(values) > 1 and values[-1] < values[-2] - _STRAY_MM:
                strays.add(at[0])
        Forecast.objects.within(given["scope"]).filter(
            current=True, quantity="seat_depth", groove__in=strays
        ).update(plan_before_on=None)
        return int(stand)

    with patch.object(forecasts, "project", faulty):
        yield


@contextmanager
def unlatched() -> Iterator[None]:
    """End each stop that no finding of the day asks for, as a later word would."""
    from inspections import assessment
    from inspections.models import Finding, Stop

    assess = assessment.assess

    def faulty(**given: Any) -> Any:
        jobs = assess(**given)
        scope, now = given["scope"], given["as_of"]
        asked = Finding.objects.within(scope).filter(current=True, stops_service=True)
        stops = Stop.objects.within(scope).filter(released_at=None)
        stops.exclude(machine__in=asked.values("machine")).update(
            released_at=now,
            release="WORK",
            released_by=scope.membership_id,
            release_why="not there at the last look",
        )
        return jobs

    with (
        patch.object(assessment, "assess", faulty),
        faults.filtered(faults.last_word)(),
    ):
        yield


@contextmanager
def braking_by_the_code() -> Iterator[None]:
    """Take a braking that nobody has registered for the one that a code asks for."""
    from inspections.assessment import knowing

    with patch.object(knowing, "braking_of", lambda snapshot: None):
        yield
