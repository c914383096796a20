"""Why a reading is due: what waits, what a forecast or a finding lacks, what is old."""

from collections.abc import Iterator, Sequence
from datetime import timedelta
from typing import Any

from inspections.inputs import CHECKS, is_unconfirmed
from inspections.kinds import KINDS, Subject
from inspections.models import (
    Finding,
    Forecast,
    ForecastState,
    Reading,
    ReadingState,
    VisitKind,
)
from inspections.reasons import Code, Term, Topic, UnknownTerm, because, from_json, note
from inspections.reasons import Reason as Said
from inspections.reasons.places import place_of as place_at
from inspections.reasons.places import together
from inspections.reasons.reason import Named
from inspections.reasons.serial import topic_of
from inspections.worklist import asking, deciding
from inspections.worklist.facts import (
    MissedCheck,
    ReadingSubject,
    WorklistFacts,
    place_of,
)
from inspections.worklist.listed import DueReason
from inspections.worklist.ordering import Why
from inspections.worklist.steps import WantedReadings

QUANTITIES: dict[str, Term] = {
    "seat_depth": Term.QUANTITY_SEAT_DEPTH,
    "diameter_loss": Term.QUANTITY_DIAMETER_LOSS,
    "counterweight_runby": Term.QUANTITY_COUNTERWEIGHT_RUNBY,
    "broken_wires": Term.QUANTITY_BROKEN_WIRES,
    "pulley_groove_spread": Term.QUANTITY_PULLEY_GROOVE_SPREAD,
}
_THIN = {
    ForecastState.NONE: Term.STATE_NONE,
    ForecastState.PRIOR_ONLY: Term.STATE_PRIOR_ONLY,
    ForecastState.PROVISIONAL: Term.STATE_PROVISIONAL,
}
_WAITS = {
    ReadingState.UNCONFIRMED: Why.UNCONFIRMED,
    ReadingState.HELD: Why.HELD,
}


def of_item(
    facts: WorklistFacts,
    wanted: WantedReadings,
    place: ReadingSubject,
    at: dict[str, Any],
    read: Sequence[Reading],
    *,
    visit: str,
) -> tuple[DueReason, ...]:
    """Return why the reading is due at a place, () if it is not."""
    return (
        *_waiting(facts, wanted, place, at),
        *_open(facts, wanted, place, at),
        *_forecast(facts, wanted, place, at),
        *_checks(facts, wanted, place, at, visit),
        *_finding(facts, wanted, place, at),
        *_age(facts, wanted, read),
    )


def waiting(reading: Reading) -> DueReason:
    """Return why a held or unconfirmed reading is to be taken once more."""
    day = reading.taken_at.date()
    if reading.state == ReadingState.HELD:
        return DueReason(why=Why.HELD, said=because(Code.DUE_HELD, day=day))
    return DueReason(why=Why.UNCONFIRMED, said=because(Code.DUE_UNCONFIRMED, day=day))


def _waiting(
    facts: WorklistFacts,
    wanted: WantedReadings,
    place: ReadingSubject,
    at: dict[str, Any],
) -> Iterator[DueReason]:
    for reading in facts.to_confirm:
        if reading.kind not in wanted.kinds or place_of(reading) != place:
            continue
        if all(reading.place.get(key) == at.get(key) for key in wanted.apart):
            yield waiting(reading)


def _forecast(
    facts: WorklistFacts,
    wanted: WantedReadings,
    place: ReadingSubject,
    at: dict[str, Any],
) -> Iterator[DueReason]:
    yield from _rests_on(facts, wanted, place)
    for forecast in facts.forecasts:
        worn = {KINDS[kind].worn for kind in wanted.kinds}
        if forecast.quantity not in worn or not _concerns(forecast, place):
            continue
        if not _is_on_pulley(forecast, at):
            continue
        reason = _of_forecast(forecast)
        if reason is not None:
            yield reason


def _rests_on(
    facts: WorklistFacts, wanted: WantedReadings, place: ReadingSubject
) -> Iterator[DueReason]:
    """Yield one reason for all dates that rest on such a reading more than on wear."""
    measured = {name for kind in wanted.kinds for name in KINDS[kind].registers}
    places = [
        forecast.place
        for forecast in facts.forecasts
        if forecast.measure_first in measured and _concerns(forecast, place)
    ]
    if places:
        said = because(Code.DUE_RESTS_ON, places=together(map(place_at, places)))
        yield DueReason(why=Why.FORECAST_THIN, said=said)


def _of_forecast(forecast: Forecast) -> DueReason | None:
    of = QUANTITIES.get(forecast.quantity) or UnknownTerm(forecast.quantity)
    since = from_json(forecast.said)
    if since is None and forecast.reason:
        since = note(forecast.reason)
    day = forecast.visit_before_on
    if forecast.state == ForecastState.REACHED:
        said = because(Code.DUE_REACHED, quantity=of)
    elif forecast.state == ForecastState.SUSPENDED:
        said = _suspended(forecast, of, since)
    elif day is not None:
        said = because(Code.DUE_BEFORE, quantity=of, day=day)
    else:
        return _thin(ForecastState(forecast.state), of, since)
    return DueReason(
        why=Why.FORECAST_DUE, said=said, worth=deciding.of_forecast(forecast)
    )


def _suspended(forecast: Forecast, of: Named, since: Said | None) -> Said:
    """Return that a forecast is suspended, and the day that stands all the same."""
    if since is None:
        said = because(Code.DUE_SUSPENDED, quantity=of)
    else:
        said = because(Code.DUE_SUSPENDED_SINCE, quantity=of, why=since)
    days = [forecast.visit_before_on, forecast.plan_before_on]
    day = min((each for each in days if each is not None), default=None)
    if day is None:
        return said
    return said.with_also(because(Code.DUE_BEFORE, quantity=of, day=day))


def _thin(state: ForecastState, of: Named, since: Said | None) -> DueReason | None:
    """Return that a forecast rests on little, None where it does not."""
    if state not in _THIN:
        return None
    said = because(Code.DUE_THIN, quantity=of, state=_THIN[state])
    if since is not None:
        said = because(Code.DUE_THIN_SINCE, quantity=of, state=_THIN[state], why=since)
    return DueReason(why=Why.FORECAST_THIN, said=said)


def _open(
    facts: WorklistFacts,
    wanted: WantedReadings,
    place: ReadingSubject,
    at: dict[str, Any],
) -> Iterator[DueReason]:
    """Yield the open findings that such a reading would settle, a topic once."""
    most: dict[str, DueReason] = {}
    for finding in facts.findings:
        if deciding.kinds(finding).isdisjoint(wanted.kinds):
            continue
        if not _concerns(finding, place) or not _is_on_pulley(finding, at):
            continue
        reason = deciding.open_finding(finding)
        known = most.get(finding.topic)
        if reason is not None and (known is None or known.worth < reason.worth):
            most[finding.topic] = reason
    yield from most.values()


def _checks(
    facts: WorklistFacts,
    wanted: WantedReadings,
    place: ReadingSubject,
    at: dict[str, Any],
    visit: str,
) -> Iterator[DueReason]:
    """Yield the checks that such a reading would make at this very place."""
    for missed in facts.missed:
        check = CHECKS[missed.code]
        if set(check.kinds).isdisjoint(wanted.kinds):
            continue
        if check.is_test and visit != VisitKind.SLIP_TEST:
            continue
        here = check.place_of(number=place.number, part=str(at.get("part", "")))
        if missed.place != here:
            continue
        yield DueReason(
            why=Why.CHECK_MISSED,
            said=_missed(missed),
            worth=deciding.of_check(missed.code),
        )


def _missed(missed: MissedCheck) -> Said:
    if missed.last_on is not None:
        return because(
            Code.DUE_CHECK_OLD, last=missed.last_on, months=float(missed.months)
        )
    if missed.why == "NOT_SEEN":
        return because(Code.DUE_CHECK_NOT_SEEN)
    return because(Code.DUE_CHECK_NEVER)


def _finding(
    facts: WorklistFacts,
    wanted: WantedReadings,
    place: ReadingSubject,
    at: dict[str, Any],
) -> Iterator[DueReason]:
    said: set[str] = set()
    for finding in facts.findings:
        if asking.kinds(finding).isdisjoint(wanted.kinds):
            continue
        if not _concerns(finding, place):
            continue
        if finding.topic == Topic.CHECK and finding.place != at.get("part"):
            continue
        if not _is_on_pulley(finding, at):
            continue
        if finding.topic not in said:
            said.add(finding.topic)
            said_of_it = because(
                Code.DUE_NOT_ASSESSED,
                topic=topic_of(finding.topic),
                why=from_json(finding.said) or note(finding.reason),
            )
            worth = deciding.CHANCE_NOT_KNOWN * deciding.of_finding(finding)
            yield DueReason(why=Why.NOT_ASSESSED, said=said_of_it, worth=worth)


def _concerns(row: Finding | Forecast, place: ReadingSubject) -> bool:
    """Return whether a finding or forecast is about a place, or about all of them."""
    if row.groove_id is not None and place.subject is Subject.GROOVE:
        return row.groove_id == place.id
    if row.rope_id is not None and place.subject is Subject.ROPE:
        return row.rope_id == place.id
    return True


def _is_on_pulley(row: Finding | Forecast, at: dict[str, Any]) -> bool:
    """Return whether a row is about the pulley of a place; True where that has none."""
    return "pulley" not in at or row.place == f"pulley {at['pulley']}"


def _age(
    facts: WorklistFacts, wanted: WantedReadings, read: Sequence[Reading]
) -> Iterator[DueReason]:
    if not read:
        yield DueReason(why=Why.NEVER_READ, said=because(Code.DUE_NEVER_READ))
        return
    last = facts.day_of(read[-1].taken_at)
    due = last + timedelta(days=wanted.days)
    if due <= facts.today and not is_unconfirmed(read[-1]):
        yield DueReason(
            why=Why.INTERVAL_OVER,
            said=because(Code.DUE_AGAIN, last=last, due=due),
        )
