"""What tells how ropes share their load; bands are common practice, no source."""

from inspections.kinds.asking import Asked, each
from inspections.kinds.kind import Group, Kind, Subject, bound
from inspections.reasons import Code, Term

_PLACE = ("side", "car_position")

KINDS = (
    Kind(
        code="rope_tension",
        name="rope tension",
        how="Same gauge, same height on every rope; say which way the car came.",
        group=Group.TENSION,
        tells=(
            Term.ROPE_TENSIONS,
            Term.TENSIONS_BOTTOM_AND_TOP,
            Code.ROPES_READ,
        ),
        asked=(
            Asked(
                step="tensions",
                or_kinds=("tension_index", "wave_time"),
                apart=_PLACE,
                at=each("car_position", "bottom", "top", side="car"),
            ),
        ),
        subject=Subject.ROPE,
        quantity="force",
        place=_PLACE,
        may=("last_direction",),
        gauge="force gauge",
        low=bound(0.0, unsafe=True),
        high=bound(100_000.0),
    ),
    Kind(
        code="tension_index",
        name="tension against the mean",
        group=Group.TENSION,
        subject=Subject.ROPE,
        quantity="ratio",
        place=_PLACE,
        may=("last_direction",),
        gauge="clamp gauge",
        low=bound(0.5, unsafe=True),
        high=bound(2.0, unsafe=True),
    ),
    Kind(
        code="wave_time",
        name="time of ten wave returns",
        group=Group.TENSION,
        subject=Subject.ROPE,
        quantity="time",
        place=_PLACE,
        may=("last_direction", "round_trips", "length_m"),
        gauge="stopwatch, ten returns",
        low=bound(0.1),
        high=bound(600.0),
    ),
    # A share of tension too, but springs differ: it proves no tension by itself.
    Kind(
        code="spring_length",
        name="length of the hitch spring",
        subject=Subject.ROPE,
        quantity="length",
        place=_PLACE,
        may=("last_direction", "free_length_mm"),
        gauge="rule",
        low=bound(0.0),
        high=bound(1000.0),
    ),
)
