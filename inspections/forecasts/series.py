"""The worn quantities of a machine as series that rise towards their limits."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import hypot, sqrt
from statistics import fmean

from fleet.register.choices import RopeCore, WorkKind
from inspections import inputs
from inspections.engineering.groove import FORMS, KnownForm
from inspections.engineering.validity import OutsideValidity
from inspections.forecasts import counting
from inspections.forecasts.counting import Point as Point
from inspections.inputs import Missing, Snapshot, diameters, noise
from inspections.models import WearLimit

# How far a part may be off nominal when it is new; common practice, no source.
SEAT_TOLERANCE_MM = 0.10
AS_FITTED_SD_MM = 0.05

PULLEYS = "difference of pulley grooves"
# Class of wear -> a guessed median rate in mm a year, where no fleet has been learnt
# from yet; assumptions, no source. A class keeps kinds of wear apart: form of the
# groove, hardened or not, core of the rope.
STARTING_RATES = {
    f"seat depth, {form.value}{hardness}": rate
    for form, shape in FORMS.items()
    for hardness, rate in zip(("", ", hardened"), shape.starting_rates_mm, strict=True)
} | {
    "rope diameter": 0.07,
    "rope diameter, fibre core": 0.07,
    "rope diameter, steel core": 0.05,
    "counterweight run-by": 15.0,
    PULLEYS: 0.05,
}
CLASSES = tuple(STARTING_RATES)
_ROPE_CLASS = {
    RopeCore.FIBRE: "rope diameter, fibre core",
    RopeCore.STEEL: "rope diameter, steel core",
}
# The depths at which the rope bottoms or the rim's metal is used up share their offset
# with the depths read; the depth at which a traction case no longer closes does not.
SHARING_OFFSET = ("BOTTOMING", "RIM_METAL")


@dataclass(frozen=True, slots=True, kw_only=True)
class WearSeries:
    """One worn quantity at one place since its part was fitted or cut.

    `shown_from_mm` and `falls` turn a level back into what is measured: the value
    is shown_from - level where it falls, shown_from + level where it rises.
    `tolerance_mm` is None where the level at installation is not known. Broken wires
    are such a series too, in wires instead of millimetres. `layer_mm` is the depth of a
    hardened layer, which the rope may be worn through before the limit.
    """

    machine_id: int
    quantity: str
    place: str
    groove_id: int | None
    rope_id: int | None
    class_name: str
    begun_on: date
    tolerance_mm: float | None
    points: tuple[Point, ...]
    limit: WearLimit | None
    limit_level_mm: float | None
    limit_sd_mm: float = 0.0
    shown_from_mm: float = 0.0
    falls: bool = False
    layer_mm: float | None = None


def of_machine(
    snapshot: Snapshot, *, limits: Sequence[WearLimit]
) -> Iterator[WearSeries]:
    """Yield the series of one machine, with and without readings."""
    by_place = {(limit.quantity, limit.place): limit for limit in limits}
    yield from _seats(snapshot, by_place)
    yield from _diameters(snapshot, by_place)
    yield from _runby(snapshot, by_place)


Limits = Mapping[tuple[str, str], WearLimit]


def _seats(snapshot: Snapshot, limits: Limits) -> Iterator[WearSeries]:
    geometry = snapshot.geometry
    if geometry is None:
        return
    try:
        found = inputs.seat_series(snapshot, groove=inputs.groove_cut(snapshot))
    except (Missing, OutsideValidity):
        return
    class_name = f"seat depth, {KnownForm[geometry.form].value}"
    if geometry.hardened_depth_mm:
        class_name += ", hardened"
    for row in snapshot.grooves:
        place = f"groove {row.number}"
        limit = limits.get(("seat_depth", place))
        read = found.get(row.pk, ())
        offset_mm = max((reading.offset_sd_mm for reading in read), default=0.0)
        yield WearSeries(
            machine_id=snapshot.machine.pk,
            quantity="seat_depth",
            place=place,
            groove_id=row.pk,
            rope_id=None,
            class_name=class_name,
            begun_on=geometry.valid_from,
            tolerance_mm=hypot(SEAT_TOLERANCE_MM, offset_mm),
            points=counting.counted(
                snapshot,
                held=[inputs.seats.held(snapshot, reading) for reading in read],
                points=[
                    Point(
                        taken_at=reading.taken_at,
                        level_mm=reading.seat.depth_mm,
                        # a gauge without scatter would make a depth surer than any
                        sd_mm=reading.seat.sd_mm or SEAT_TOLERANCE_MM,
                        visit_id=reading.visit_id,
                        readings=reading.readings,
                        at_least=reading.seat.at_least,
                    )
                    for reading in read
                ],
            ),
            limit=limit,
            limit_level_mm=limit.value if limit else None,
            limit_sd_mm=_seat_limit_sd(limit, offset_mm),
            layer_mm=geometry.hardened_depth_mm or None,
        )


def _seat_limit_sd(limit: WearLimit | None, offset_mm: float) -> float:
    if limit is None:
        return 0.0
    shared = limit.reason in SHARING_OFFSET
    return limit.sd if shared else hypot(limit.sd, offset_mm)


def _diameters(snapshot: Snapshot, limits: Limits) -> Iterator[WearSeries]:
    rope_set = snapshot.rope_set
    if rope_set is None:
        return
    nominal = rope_set.nominal_diameter_mm
    found = diameters.by_rope(snapshot)
    for rope in snapshot.ropes:
        place = f"rope {rope.number}"
        limit = limits.get(("diameter_loss", place))
        fitted = rope.diameter_as_fitted_mm
        # A rope is fitted thicker than nominal: its loss counts from there.
        start = fitted if fitted is not None else nominal
        least = nominal - limit.value if limit else None
        yield WearSeries(
            machine_id=snapshot.machine.pk,
            quantity="diameter_loss",
            place=place,
            groove_id=None,
            rope_id=rope.pk,
            class_name=_ROPE_CLASS.get(RopeCore(rope_set.core), "rope diameter")
            if rope_set.core
            else "rope diameter",
            begun_on=rope_set.fitted_on,
            tolerance_mm=AS_FITTED_SD_MM if fitted is not None else None,
            points=counting.counted(
                snapshot,
                points=[
                    _thinnest(diameter, start) for diameter in found.get(rope.pk, ())
                ],
            ),
            limit=limit,
            limit_level_mm=None if least is None else start - least,
            limit_sd_mm=limit.sd if limit else 0.0,
            shown_from_mm=start,
            falls=True,
        )


def _thinnest(diameter: diameters.VisitDiameter, start_mm: float) -> Point:
    """Return a rope's loss at its thinnest station, which is what condemns it.

    A mean over its length would let stations that are well hide the one that is not.
    """
    place = diameter.thinnest_place_mm
    return Point(
        taken_at=diameter.taken_at,
        level_mm=start_mm - fmean(place),
        sd_mm=diameter.sd_mm * sqrt(len(diameter.readings) / len(place)),
        visit_id=diameter.visit_id,
        readings=diameter.readings,
    )


def _runby(snapshot: Snapshot, limits: Limits) -> Iterator[WearSeries]:
    """Yield the run-by since the ropes were fitted or last shortened."""
    limit = limits.get(("counterweight_runby", ""))
    rope_set = snapshot.rope_set
    if limit is None or rope_set is None:
        return
    begun = max(
        [rope_set.fitted_on]
        + [w.done_on for w in snapshot.works if w.kind == WorkKind.SHORTENING]
    )
    readings = [
        reading
        for reading in snapshot.of_kind("cwt_runby")
        if reading.taken_at.date() >= begun and reading.value is not None
    ]
    if not readings:
        return
    start = readings[0].value or 0.0
    yield WearSeries(
        machine_id=snapshot.machine.pk,
        quantity="counterweight_runby",
        place="",
        groove_id=None,
        rope_id=None,
        class_name="counterweight run-by",
        begun_on=begun,
        tolerance_mm=None,
        points=counting.counted(
            snapshot,
            points=[
                Point(
                    taken_at=reading.taken_at,
                    level_mm=start - (reading.value or 0.0),
                    sd_mm=noise.of(reading),
                    visit_id=reading.visit_id,
                    readings=(reading.pk,),
                )
                for reading in readings
            ],
        ),
        limit=limit,
        limit_level_mm=start - limit.value,
        limit_sd_mm=limit.sd,
        shown_from_mm=start,
        falls=True,
    )
