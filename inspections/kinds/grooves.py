"""What can be read on grooves; bands are common practice, no source."""

from inspections.kinds.asking import Asked, each
from inspections.kinds.kind import Direction, Group, Kind, Subject, bound
from inspections.reasons import Code, Term, Topic

# What any way of reading the seat tells.
_SEAT = (
    Term.SEAT_DEPTH,
    Term.SEAT_DEPTHS,
    Term.SEAT_DEPTHS_BOTH,
    Term.SEAT_DEPTHS_OR_DIAMETERS,
    Term.DEEPEST_SEAT,
    Code.NO_SEAT_DEPTH,
    Code.SEAT_AT_BOTTOM_OF,
    Code.METAL_OR_SEAT_OF_GROOVE,
)

KINDS = (
    Kind(
        code="rope_crown_height",
        name="rope crown above the rim",
        how=(
            "Foot of the gauge on two lands, tip on a strand crown. Below the "
            "rim: write a minus. Ropes stopped, machine isolated and locked "
            "out."
        ),
        group=Group.SEAT_DEPTH,
        tells=_SEAT,
        worn="seat_depth",
        asked=(Asked(step="crowns", apart=("mark",), at=each("mark", "A")),),
        noise_mm=0.10,
        course=Direction.FALLS,
        subject=Subject.GROOVE,
        quantity="length",
        place=("mark",),
        gauge="bridge depth gauge",
        low=bound(-1.0, d=True, unsafe=True),
        high=bound(1.0, d=True),
        signed=True,
    ),
    Kind(
        code="rope_crown_step",
        name="step between rope crowns",
        how="Straightedge over the crowns, feeler under it.",
        noise_mm=0.08,
        subject=Subject.GROOVE,
        quantity="length",
        may=("mark",),
        gauge="straightedge, feeler",
        low=bound(0.0),
        high=bound(3.0, unsafe=True),
    ),
    Kind(
        code="bottom_clearance",
        name="clearance under the rope",
        how=(
            "Wire or feeler from the side, at the middle of the wrap; if the "
            "rope touches write 0 and stop: out of service."
        ),
        topic=Topic.BOTTOM_CLEARANCE,
        group=Group.SEAT_DEPTH,
        tells=_SEAT,
        worn="seat_depth",
        registers=("bottom_clearance_mm",),
        asked=(Asked(step="open arc", or_kinds=("groove_bottom_depth",)),),
        noise_mm=0.15,
        course=Direction.FALLS,
        subject=Subject.GROOVE,
        quantity="length",
        may=("mark",),
        gauge="wire or feeler",
        low=bound(0.5, unsafe=True),
        high=bound(8.0),
        signed=True,
        stops_at_or_below=0.0,
    ),
    Kind(
        code="groove_bottom_depth",
        name="depth of the groove bottom",
        how="In the open lower arc, from the rim to the groove bottom.",
        group=Group.SEAT_DEPTH,
        tells=(*_SEAT, Term.BOTTOM_DEPTHS),
        worn="seat_depth",
        registers=("bottom_clearance_mm",),
        noise_mm=0.10,
        course=Direction.RISES,
        subject=Subject.GROOVE,
        quantity="length",
        may=("mark",),
        gauge="depth blade",
        low=bound(0.5, d=True),
        high=bound(2.5, d=True),
    ),
    Kind(
        code="seat_band_width",
        name="width of the seat band",
        how=(
            "In the open lower arc, with calliper or replica. Left is the flank on "
            "the side of the paint mark beside groove 1, from wherever you look. "
            "Ropes stopped, machine isolated and locked out."
        ),
        group=Group.SEAT_DEPTH,
        tells=_SEAT,
        worn="seat_depth",
        asked=(
            Asked(
                step="open arc",
                apart=("flank",),
                at=each("flank", "left", "right"),
            ),
        ),
        noise_mm=0.20,
        course=Direction.RISES,
        subject=Subject.GROOVE,
        quantity="length",
        place=("flank",),
        may=("mark",),
        gauge="calliper or replica",
        low=bound(0.0),
        high=bound(1.0, d=True, unsafe=True),
    ),
    Kind(
        code="slot_width",
        name="slot width",
        how="In the open lower arc, across the mouth of the slot.",
        asked=(Asked(step="open arc"),),
        subject=Subject.GROOVE,
        quantity="length",
        may=("mark",),
        gauge="pin or feeler",
        low=bound(0.3, d=True),
        high=bound(0.85, d=True, unsafe=True),
    ),
    Kind(
        code="seat_gauge_fit",
        name="radius gauge in the seat",
        how=(
            "In the cleaned seat of the open lower arc: the largest radius "
            "without light under it."
        ),
        tells=(
            Term.SEAT_RADIUS,
            Term.SEAT_GAUGE,
        ),
        asked=(Asked(step="open arc"),),
        subject=Subject.GROOVE,
        quantity="length",
        place=("fit",),
        gauge="radius gauge",
        low=bound(0.48, d=True, unsafe=True),
        high=bound(0.65, d=True),
    ),
    Kind(
        code="seat_runout",
        name="run-out of the seat",
        subject=Subject.GROOVE,
        quantity="length",
        gauge="dial gauge",
        low=bound(0.0),
        high=bound(1.0, unsafe=True),
    ),
    Kind(
        code="seat_diameter_difference",
        name="difference of seat diameters",
        subject=Subject.GROOVE,
        quantity="length",
        gauge="tape",
        low=bound(-1.0, unsafe=True),
        high=bound(1.0, unsafe=True),
        signed=True,
    ),
)
