"""What is measured in which kind of visit, how long it takes, and how often.

Minutes are common practice, no source, for a usual machine with its ropes on; a
contractor's own may differ. Intervals: rope diameter and groove depth at least once a
year by "Traction Sheave Maintenance", a course in Elevator World (its opening was
read); all others are common practice, no source.
"""

from dataclasses import dataclass, field
from typing import Any

from inspections.engineering.groove import BY_CODE, codes_measured_by
from inspections.models import VisitKind

YEAR, HALF_YEAR, FIVE_YEARS = 365, 182, 1826
_EVERY_FORM = tuple(BY_CODE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One kind of reading at every place of its subject.

    `kinds` can stand for each other, the first is the usual one. Places are told
    apart by the keys in `apart`; `at` are the places to read where none was before.
    """

    kinds: tuple[str, ...]
    days: int = YEAR
    apart: tuple[str, ...] = ()
    at: tuple[dict[str, Any], ...] = ({},)
    forms: tuple[str, ...] = _EVERY_FORM


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """Readings that are taken in one go, in the order of `STEPS`.

    Where the time does not reach for all, those of a lower `weight` come in first; our
    rule, no source: slip and what bottoms, condemns or lands before the rest.
    """

    code: str
    words: str
    minutes: int
    visit: str
    weight: int = 0
    wanted: tuple[Wanted, ...] = field(default=())


def _each(key: str, *values: str, **same: str) -> tuple[dict[str, Any], ...]:
    return tuple({key: value, **same} for value in values)


# In the order of doing: what is seen on the running machine comes before the ropes are
# stopped and locked out, the grooves come once they are clean.
STEPS = (
    Step(
        code="seen running",
        words="seen and counted before the machine is stopped",
        minutes=2,
        visit=VisitKind.ROUTINE,
        wanted=(
            Wanted(kinds=("slip_seen",)),
            Wanted(kinds=("brake_slide_seen",)),
            Wanted(kinds=("trip_counter",), days=HALF_YEAR),
        ),
    ),
    Step(
        code="run-by",
        words="run-by at both ends",
        minutes=3,
        visit=VisitKind.ROUTINE,
        weight=2,
        wanted=(Wanted(kinds=("cwt_runby",)), Wanted(kinds=("car_runby",))),
    ),
    Step(
        code="wires",
        words="broken wires, rouge and lubrication by eye and rag, ropes stopped",
        minutes=7,
        visit=VisitKind.ROUTINE,
        weight=2,
        wanted=(
            Wanted(kinds=("breaks_total",), at=({"window": "lay"},)),
            Wanted(kinds=("breaks_worst_strand",), at=({"window": "lay"},)),
            Wanted(kinds=("rouge",)),
            Wanted(kinds=("wires_worn_or_rusted",)),
            Wanted(kinds=("rope_deformation",)),
            Wanted(kinds=("lubrication",)),
        ),
    ),
    Step(
        code="diameters",
        words="rope diameters over the strand crowns",
        minutes=5,
        visit=VisitKind.ROUTINE,
        weight=1,
        wanted=(Wanted(kinds=("rope_diameter",)),),
    ),
    Step(
        code="crowns",
        words="rope crowns against rim and straightedge",
        minutes=5,
        visit=VisitKind.ROUTINE,
        weight=3,
        wanted=(
            Wanted(
                kinds=("rope_crown_height",), apart=("mark",), at=_each("mark", "A")
            ),
        ),
    ),
    Step(
        code="open arc",
        words="grooves at the open arc, cleaned first: bands, bottom, gauge",
        minutes=8,
        visit=VisitKind.ROUTINE,
        weight=1,
        wanted=(
            Wanted(
                kinds=("bottom_clearance", "groove_bottom_depth"),
                forms=codes_measured_by(kind="bottom_clearance"),
            ),
            Wanted(
                kinds=("seat_band_width",),
                apart=("flank",),
                at=_each("flank", "left", "right"),
                forms=codes_measured_by(kind="seat_band_width"),
            ),
            Wanted(kinds=("slot_width",), forms=codes_measured_by(kind="slot_width")),
            Wanted(kinds=("seat_gauge_fit",)),
        ),
    ),
    Step(
        code="parts",
        words="parts looked at",
        minutes=5,
        visit=VisitKind.ROUTINE,
        weight=4,
        wanted=(
            Wanted(
                kinds=("check",),
                apart=("part",),
                at=_each(
                    "part",
                    "hub",
                    "bearing",
                    "brake",
                    "keeper",
                    "fastening",
                    "alignment",
                    "guards",
                ),
            ),
        ),
    ),
    Step(
        code="tensions",
        words="rope tensions at bottom and top after a run without a stop",
        minutes=15,
        visit=VisitKind.TENSION,
        wanted=(
            Wanted(
                kinds=("rope_tension", "tension_index", "wave_time"),
                apart=("side", "car_position"),
                at=_each("car_position", "bottom", "top", side="car"),
            ),
        ),
    ),
    Step(
        code="slip test",
        words="slip and rope marks, two people",
        minutes=10,
        visit=VisitKind.SLIP_TEST,
        wanted=(
            Wanted(kinds=("slip_seen",)),
            Wanted(
                kinds=("traction_test",),
                days=FIVE_YEARS,
                apart=("case",),
                at=_each("case", "125 % static", "empty car up", "loaded car down"),
            ),
            Wanted(
                kinds=("rope_mark_offset",),
                apart=("travel", "load"),
                at=({"travel": "round trip", "load": "empty"},),
            ),
        ),
    ),
    Step(
        code="masses",
        words="balance and car mass, with weights",
        minutes=90,
        visit=VisitKind.BALANCE,
        wanted=(
            Wanted(kinds=("balance_load",), days=FIVE_YEARS),
            Wanted(kinds=("car_mass",), days=FIVE_YEARS),
        ),
    ),
    Step(
        code="rim",
        words="rim thickness round the wheel at two axial places, secured, two people",
        minutes=150,
        visit=VisitKind.RIM_SURVEY,
        wanted=(
            Wanted(
                kinds=("rim_thickness",),
                days=FIVE_YEARS,
                apart=("mark", "over"),
                at=_each("mark", "A", "B", "C", "D", over="land"),
            ),
            Wanted(kinds=("underside_runout",), days=FIVE_YEARS),
        ),
    ),
    Step(
        code="hardness",
        words="hardness of the rim lands",
        minutes=10,
        visit=VisitKind.HARDNESS,
        wanted=(Wanted(kinds=("hardness",), days=FIVE_YEARS),),
    ),
    Step(
        code="cracks",
        words="cracks, rim bolts, hub, spokes and keyway, with dye",
        minutes=15,
        visit=VisitKind.CRACK_CHECK,
        wanted=(
            Wanted(
                kinds=("check",),
                apart=("part",),
                at=_each("part", "crack", "rim bolts", "hub", "spokes", "keyway"),
            ),
        ),
    ),
)
# What makes a beginning for wear that starts anew.
BASELINE = ("run-by", "diameters", "crowns", "open arc")
# Reading once more what must be confirmed, where its step is not due.
AGAIN_MINUTES = 2


def steps_of(visit: str) -> tuple[Step, ...]:
    """Return the steps of a kind of visit, in the order of doing."""
    if visit == VisitKind.AS_LEFT:
        return tuple(step for step in STEPS if step.code in BASELINE)
    return tuple(step for step in STEPS if step.visit == visit)


def usual_minutes(visit: str) -> int:
    """Return the minutes that a visit has where nobody says: half an hour or all."""
    if visit == VisitKind.ROUTINE:
        return 30
    return sum(step.minutes for step in steps_of(visit))
