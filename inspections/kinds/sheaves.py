"""What can be read on the sheave and its rim; bands are common practice, no source."""

from inspections.kinds.records import Course, Kind, Subject, bound

KINDS = (
    Kind(
        code="rim_thickness",
        noise_mm=0.15,
        course=Course.FALLS,
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
        noise_mm=0.10,
        subject=Subject.SHEAVE,
        quantity="length",
        may=("axial_mm",),
        gauge="dial gauge",
        low=bound(0.0),
        high=bound(8.0),
    ),
    Kind(
        code="hardness",
        subject=Subject.SHEAVE,
        quantity="hardness",
        may=("mark", "method"),
        gauge="portable tester",
        low=bound(140.0, unsafe=True),
        high=bound(320.0),
    ),
    Kind(
        code="wrap_offset_x",
        subject=Subject.SHEAVE,
        quantity="length",
        gauge="tape, plumb line",
        low=bound(0.0),
        high=bound(10_000.0),
    ),
    Kind(
        code="wrap_drop_h",
        subject=Subject.SHEAVE,
        quantity="length",
        gauge="tape, plumb line",
        low=bound(0.0),
        high=bound(10_000.0),
    ),
)
