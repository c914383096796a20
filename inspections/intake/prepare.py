"""A reading made ready to be stored: its place found, its plausibility judged."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections.intake import gauging, store
from inspections.intake.judge import Judgement, Warned, judge
from inspections.intake.problems import RefusedReading
from inspections.intake.resolve import PartPeriods, load_gauges, load_parts
from inspections.intake.understood import NewReading, NewUpload
from inspections.intake.visits import Registered, load_works
from inspections.models import Gauge, Reading

FUTURE_GRACE = timedelta(minutes=5)
_RETIRED = (
    "machine {machine} was retired on {day}; this is kept, but ask the office whether "
    "it was read at another machine"
)
_NOT_YET = (
    "machine {machine} was installed on {day}, later than this; it is kept, but ask "
    "the office whether it was read at another machine or on another day"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What the readings of one upload may refer to, loaded once."""

    registered: Registered
    gauges: Mapping[str, Gauge]
    corrected: Mapping[str, Reading]


def surroundings(
    *, scope: Scope, upload: NewUpload, received_at: datetime
) -> Surroundings:
    """Return everything an upload refers to, in a constant number of queries."""
    codes = [visit.machine for visit in upload.visits if visit.problem is None]
    parts = load_parts(scope=scope, codes=codes)
    return Surroundings(
        registered=Registered(
            parts=parts,
            works=load_works(scope=scope, visits=upload.visits, parts=parts),
            latest=_latest_believable(upload=upload, received_at=received_at),
        ),
        gauges=load_gauges(scope=scope, codes=_named(upload, "gauge")),
        corrected=_corrected(scope=scope, references=_named(upload, "corrects")),
    )


def ready(
    *,
    reading: NewReading,
    pointer: str,
    machine: str,
    around: Surroundings,
) -> store.ReadingRow:
    """Return a row to store. Raises Refused with what is wrong."""
    parts = around.registered.parts[machine]
    if reading.taken_at > around.registered.latest:
        raise RefusedReading(
            "this time lies in the future",
            pointer=f"{pointer}/taken_at",
            code="in-the-future",
        )
    place = parts.find(reading=reading, pointer=pointer)
    gauge = around.gauges.get(reading.gauge)
    if reading.gauge and gauge is None:
        raise RefusedReading(
            f"there is no gauge {reading.gauge!r}",
            pointer=f"{pointer}/gauge",
            code="unknown-gauge",
        )
    day = parts.day_of(reading)
    if gauge is not None and gauge.retired_on is not None and gauge.retired_on <= day:
        raise RefusedReading(
            f"gauge {gauge.code!r} was retired on {gauge.retired_on}",
            pointer=f"{pointer}/gauge",
            code="retired-gauge",
        )
    return store.ReadingRow(
        reading=reading,
        pointer=pointer,
        place=place,
        judgement=_out_of_its_years(
            gauging.said_too(
                judge(
                    kind=reading.kind,
                    value=reading.value,
                    word=reading.word,
                    rope_diameter_mm=place.rope_diameter_mm,
                ),
                gauge=gauge,
                day=day,
            ),
            machine=parts.machine,
            day=day,
        ),
        machine_id=parts.machine.pk,
        gauge_id=gauge.pk if gauge is not None else None,
        corrects_id=_corrects(
            reading, parts=parts, corrected=around.corrected, at=pointer
        ),
    )


def _out_of_its_years(
    judgement: Judgement, *, machine: Machine, day: date
) -> Judgement:
    """Say too that the machine was retired, or not there yet; what was read is kept."""
    if machine.retired_on is not None and day >= machine.retired_on:
        given = _given(machine, machine.retired_on)
        said = Warned(
            code="machine-retired",
            text=_RETIRED.format(**dict(given)),
            given=given,
        )
    elif machine.installed_on is not None and day < machine.installed_on:
        given = _given(machine, machine.installed_on)
        said = Warned(
            code="machine-not-yet",
            text=_NOT_YET.format(**dict(given)),
            given=given,
        )
    else:
        return judgement
    return replace(judgement, warnings=(*judgement.warnings, said))


def _given(machine: Machine, day: date) -> tuple[tuple[str, str], ...]:
    return ("machine", machine.code), ("day", str(day))


def _corrects(
    reading: NewReading,
    *,
    parts: PartPeriods,
    corrected: Mapping[str, Reading],
    at: str,
) -> int | None:
    if not reading.corrects:
        return None
    old = corrected.get(reading.corrects)
    if old is None or old.machine_id != parts.machine.pk:
        why = f"there is no reading {reading.corrects!r} on this machine"
    elif old.kind != reading.kind.code:
        why = f"{reading.corrects!r} is a {old.kind}, no {reading.kind.code}"
    elif not reading.note:
        why = "a correction says why in its note"
    else:
        return int(old.pk)
    raise RefusedReading(why, pointer=f"{at}/corrects", code="cannot-correct")


def _latest_believable(*, upload: NewUpload, received_at: datetime) -> datetime:
    """Return the latest instant a reading may claim.

    A phone whose clock runs ahead says so by its own sending time; its readings are
    kept as claimed and the skew is told, up to a day.
    """
    ours = received_at + FUTURE_GRACE
    if upload.sent_at is None:
        return ours
    return max(ours, min(upload.sent_at + FUTURE_GRACE, ours + timedelta(days=1)))


def _corrected(*, scope: Scope, references: set[str]) -> dict[str, Reading]:
    if not references:
        return {}
    rows = Reading.objects.within(scope).filter(reference__in=references)
    return {reading.reference: reading for reading in rows}


def _named(upload: NewUpload, field: str) -> set[str]:
    return {
        getattr(reading, field)
        for visit in upload.visits
        for reading in visit.readings
        if isinstance(reading, NewReading) and getattr(reading, field)
    }
