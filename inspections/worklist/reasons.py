"""Why a reading is due: what waits, what a forecast or a finding lacks, what is old."""

from collections.abc import Iterator, Sequence
from datetime import timedelta
from typing import Any

from inspections.inputs import is_unconfirmed
from inspections.kinds import Subject
from inspections.models import (
    Finding,
    Forecast,
    ForecastState,
    Grade,
    Reading,
    ReadingState,
)
from inspections.worklist.facts import Facts, Place, place_of
from inspections.worklist.ordering import Why
from inspections.worklist.records import Reason
from inspections.worklist.steps import Wanted

_SEAT = (
    "bottom_clearance",
    "groove_bottom_depth",
    "seat_band_width",
    "rope_crown_height",
)
# Worn quantity -> the readings it is known by.
_QUANTITIES: dict[str, tuple[str, ...]] = {
    "seat_depth": _SEAT,
    "diameter_loss": ("rope_diameter",),
    "counterweight_runby": ("cwt_runby",),
    "broken_wires": ("breaks_total",),
}
# What a date rests on more than on wear -> the readings that tell it; the rest of the
# register's values are looked up or weighed, not read at a place.
_RESTS_ON: dict[str, tuple[str, ...]] = {
    "rim_thickness_mm": ("rim_thickness", "underside_runout"),
    "car_mass_kg": ("car_mass",),
    "balance_ratio": ("balance_load",),
    "counterweight_mass_kg": ("balance_load",),
    "rope_diameter_mm": ("rope_diameter",),
    "bottom_clearance_mm": ("bottom_clearance", "groove_bottom_depth"),
}
# A finding's topic -> the readings for lack of which it may not be assessed.
_TOPICS: dict[str, tuple[str, ...]] = {
    "rope diameter": ("rope_diameter",),
    "broken wires": ("breaks_total",),
    "seat fit": ("seat_gauge_fit",),
    "traction": (*_SEAT, "rope_diameter"),
    "pair of grooves": _SEAT,
    "rim metal": ("rim_thickness",),
    "date of the least metal": _SEAT,
    "room for a cut": (*_SEAT, "rope_diameter"),
    "rope tension": ("rope_tension",),
    "tension swing": ("rope_tension",),
    "counterweight run-by": ("cwt_runby",),
    "creep over the sheave": ("rope_mark_offset",),
    "check": ("check",),
}
# A value of the register; no depth of a seat tells it.
_RADIUS = "seat radius"
# Words of a reason -> the readings that it asks for, whatever the topic.
_WORDS = {
    "car mass": "car_mass",
    "balance": "balance_load",
    "hardness": "hardness",
    _RADIUS: "seat_gauge_fit",
}
# These lack a reading only where their reason says so; else it is the register.
_OF_SEATS = ("traction", "pair of grooves", "room for a cut")
_LACKS = ("missing", "could not be seen")
_WAITS = {
    ReadingState.UNCONFIRMED: Why.UNCONFIRMED,
    ReadingState.HELD: Why.HELD,
}


def of_item(
    facts: Facts,
    wanted: Wanted,
    place: Place,
    at: dict[str, Any],
    read: Sequence[Reading],
) -> tuple[Reason, ...]:
    """Return why the reading is due at a place, () if it is not."""
    return (
        *_waiting(facts, wanted, place, at),
        *_forecast(facts, wanted, place),
        *_finding(facts, wanted, place, at),
        *_age(facts, wanted, read),
    )


def waiting(reading: Reading) -> Reason:
    """Return why a held or unconfirmed reading is to be taken once more."""
    day = f"{reading.taken_at:%Y-%m-%d}"
    if reading.state == ReadingState.HELD:
        return Reason(
            why=Why.HELD, words=f"the reading of {day} is held until it is confirmed"
        )
    return Reason(
        why=Why.UNCONFIRMED,
        words=f"the reading of {day} acts as if true until it is measured again",
    )


def _waiting(
    facts: Facts, wanted: Wanted, place: Place, at: dict[str, Any]
) -> Iterator[Reason]:
    for reading in facts.to_confirm:
        if reading.kind not in wanted.kinds or place_of(reading) != place:
            continue
        if all(reading.place.get(key) == at.get(key) for key in wanted.apart):
            yield waiting(reading)


def _forecast(facts: Facts, wanted: Wanted, place: Place) -> Iterator[Reason]:
    yield from _rests_on(facts, wanted, place)
    for forecast in facts.forecasts:
        kinds = _QUANTITIES.get(forecast.quantity, ())
        if set(kinds).isdisjoint(wanted.kinds) or not _concerns(forecast, place):
            continue
        reason = _of_forecast(forecast)
        if reason is not None:
            yield reason


def _rests_on(facts: Facts, wanted: Wanted, place: Place) -> Iterator[Reason]:
    """Yield one reason for all dates that rest on such a reading more than on wear."""
    places = [
        forecast.place
        for forecast in facts.forecasts
        if not set(_RESTS_ON.get(forecast.measure_first, ())).isdisjoint(wanted.kinds)
        and _concerns(forecast, place)
    ]
    if places:
        named = ", ".join(dict.fromkeys(places))
        yield Reason(
            why=Why.FORECAST_THIN,
            words=f"the date of {named} rests on it more than on further wear",
        )


def _of_forecast(forecast: Forecast) -> Reason | None:
    said = f": {forecast.reason}" if forecast.reason else ""
    name = forecast.quantity.replace("_", " ")
    if forecast.state == ForecastState.REACHED:
        words = f"{name} may already be at its limit"
    elif forecast.state == ForecastState.SUSPENDED:
        words = f"the forecast of {name} is suspended{said}"
    elif forecast.visit_before_on is not None:
        words = f"{name}: the next visit should come before {forecast.visit_before_on}"
    else:
        thin = (
            ForecastState.NONE,
            ForecastState.PRIOR_ONLY,
            ForecastState.PROVISIONAL,
        )
        if forecast.state not in thin:
            return None
        label = ForecastState(forecast.state).label
        return Reason(why=Why.FORECAST_THIN, words=f"forecast of {name}: {label}{said}")
    return Reason(why=Why.FORECAST_DUE, words=words)


def _finding(
    facts: Facts, wanted: Wanted, place: Place, at: dict[str, Any]
) -> Iterator[Reason]:
    said: set[str] = set()
    for finding in facts.findings:
        if finding.grade != Grade.NOT_ASSESSED or not _asks(finding, wanted):
            continue
        if not _concerns(finding, place):
            continue
        if finding.topic == "check" and finding.place != at.get("part"):
            continue
        if finding.topic not in said:
            said.add(finding.topic)
            yield Reason(
                why=Why.NOT_ASSESSED,
                words=f"{finding.topic} was not assessed: {finding.reason}",
            )


def _asks(finding: Finding, wanted: Wanted) -> bool:
    """Return whether a finding could not be for lack of such a reading."""
    kinds = {kind for word, kind in _WORDS.items() if word in finding.reason}
    of_seats = finding.topic in _OF_SEATS
    lacks = finding.reason.startswith(_LACKS)
    names_a_seat = "seat" in finding.reason.replace(_RADIUS, "")
    if lacks and (not of_seats or names_a_seat):
        kinds |= set(_TOPICS.get(finding.topic, ()))
    return not kinds.isdisjoint(wanted.kinds)


def _concerns(row: Finding | Forecast, place: Place) -> bool:
    """Return whether a finding or forecast is about a place, or about all of them."""
    if row.groove_id is not None and place.subject is Subject.GROOVE:
        return row.groove_id == place.id
    if row.rope_id is not None and place.subject is Subject.ROPE:
        return row.rope_id == place.id
    return True


def _age(facts: Facts, wanted: Wanted, read: Sequence[Reading]) -> Iterator[Reason]:
    if not read:
        yield Reason(why=Why.NEVER_READ, words="not read yet on the part fitted now")
        return
    last = facts.day_of(read[-1].taken_at)
    due = last + timedelta(days=wanted.days)
    if due <= facts.today and not is_unconfirmed(read[-1]):
        yield Reason(
            why=Why.INTERVAL_OVER,
            words=f"last read on {last}, due again since {due}",
        )
