"""What can be read on the sheave and its rim; bands are common practice, no source."""

from inspections.kinds.asking import FIVE_YEARS, Asked, each
from inspections.kinds.kind import Direction, Kind, Subject, bound
from inspections.kinds.places import MARKS
from inspections.reasons import Code, Term

KINDS = (
    Kind(
        code="rim_thickness",
        name="metal under the groove",
        tells=(
            Term.RIM_SURVEY,
            Term.RIM_SURVEY_SINCE_CUT,
            Term.METAL_OF_RIM,
            Code.METAL_OR_SEAT_OF_GROOVE,
            Code.THICKNESS_ON_SIDE,
        ),
        registers=("rim_thickness_mm",),
        asked=(
            Asked(
                step="rim",
                days=FIVE_YEARS,
                apart=("mark", "over"),
                at=each("mark", *MARKS, over="land"),
            ),
        ),
        noise_mm=0.15,
        course=Direction.FALLS,
        subject=Subject.SHEAVE,
        quantity="length",
        place=("axial_mm", "mark", "over"),
        may=("web_side", "method"),
        gauge="hook calliper",
        low=bound(8.0, unsafe=True),
        high=bound(100.0),
    ),
    Kind(
        code="underside_runout",
        name="run-out of the rim's underside",
        tells=(Term.RUNOUT_UNDERSIDE,),
        registers=("rim_thickness_mm",),
        asked=(Asked(step="rim", days=FIVE_YEARS),),
        noise_mm=0.10,
        grows_worse=Direction.RISES,
        subject=Subject.SHEAVE,
        quantity="length",
        may=("axial_mm",),
        gauge="dial gauge",
        low=bound(0.0),
        high=bound(8.0),
    ),
    Kind(
        code="hardness",
        name="hardness",
        how="Portable tester on a cleaned land.",
        tells=(Term.HARDNESS,),
        asked=(Asked(step="hardness", days=FIVE_YEARS),),
        subject=Subject.SHEAVE,
        quantity="hardness",
        may=("mark", "method"),
        gauge="portable tester",
        low=bound(140.0, unsafe=True),
        high=bound(320.0),
    ),
    Kind(
        code="wrap_offset_x",
        name="offset of the deflector",
        subject=Subject.SHEAVE,
        quantity="length",
        gauge="tape, plumb line",
        low=bound(0.0),
        high=bound(10_000.0),
    ),
    Kind(
        code="wrap_drop_h",
        name="drop of the deflector",
        subject=Subject.SHEAVE,
        quantity="length",
        gauge="tape, plumb line",
        low=bound(0.0),
        high=bound(10_000.0),
    ),
)
