"""The closed list of what can be read on a machine.

One list feeds the upload, the worklist and the field sheets: code, quantity, place,
usual gauge, and the band outside which a reading is held. The bands are common
practice, no source; they decide what is held, never what is unsafe.
"""

from dataclasses import dataclass
from enum import StrEnum


class Subject(StrEnum):
    """What a reading is taken on."""

    MACHINE = "machine"
    SHEAVE = "sheave"
    GROOVE = "groove"
    ROPE = "rope"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """One end of the band: a number, or a multiple of the nominal rope diameter."""

    value: float
    per_diameter: bool = False
    unsafe: bool = False

    def at(self, *, rope_diameter_mm: float | None) -> float | None:
        """Return the bound in the canonical unit; None if the diameter is missing."""
        if not self.per_diameter:
            return self.value
        return None if rope_diameter_mm is None else self.value * rope_diameter_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of reading.

    A kind has either a `quantity` (its value is a number with a unit) or `words`
    (its value is one of them). `place` names the keys a reading must carry beside
    its subject's number; `may` those it can carry. An unsafe word of a kind that
    `stops`, and a number at or below `stops_at_or_below`, take the machine out of
    service at once.
    """

    code: str
    subject: Subject
    quantity: str = ""
    words: tuple[str, ...] = ()
    unsafe_words: tuple[str, ...] = ()
    place: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    gauge: str = ""
    low: Bound | None = None
    high: Bound | None = None
    signed: bool = False
    stops: bool = False
    stops_at_or_below: float | None = None

    @property
    def is_worded(self) -> bool:
        return bool(self.words)


MARKS = ("A", "B", "C", "D")

# Place key -> the values it takes; an empty tuple: a number in millimetres or text.
PLACE_VALUES: dict[str, tuple[str, ...]] = {
    "mark": MARKS,
    "flank": ("left", "right"),
    "direction": ("1", "2"),
    "station": (),
    "window": ("lay", "6d", "30d"),
    "side": ("car", "counterweight"),
    "car_position": ("top", "middle", "bottom"),
    "last_direction": ("up", "down"),
    "load": ("empty", "balanced", "rated", "125 %"),
    "axial_mm": (),
    "over": ("land", "slot"),
    "web_side": ("left", "right"),
    "travel": ("one way", "round trip"),
    "round_trips": (),
    "floor": (),
    "part": (
        "crack",
        "rim bolts",
        "hub",
        "bearing",
        "brake",
        "keeper",
        "fastening",
        "alignment",
    ),
    "fit": ("go", "tight", "loose"),
    "method": (),
    "frame_mark": ("kept", "moved"),
}

_TENSION = ("side", "car_position")


def _low(value: float, *, d: bool = False, unsafe: bool = False) -> Bound:
    return Bound(value=value, per_diameter=d, unsafe=unsafe)


_high = _low

_KINDS = (
    Kind(
        code="rope_diameter",
        subject=Subject.ROPE,
        quantity="length",
        may=("station", "direction"),
        gauge="plate calliper",
        low=_low(0.85, d=True, unsafe=True),
        high=_high(1.08, d=True),
    ),
    Kind(
        code="rope_crown_height",
        subject=Subject.GROOVE,
        quantity="length",
        place=("mark",),
        gauge="bridge depth gauge",
        low=_low(-1.0, d=True, unsafe=True),
        high=_high(1.0, d=True),
        signed=True,
    ),
    Kind(
        code="rope_crown_step",
        subject=Subject.GROOVE,
        quantity="length",
        may=("mark",),
        gauge="straightedge, feeler",
        low=_low(0.0),
        high=_high(3.0, unsafe=True),
    ),
    Kind(
        code="seat_band_width",
        subject=Subject.GROOVE,
        quantity="length",
        place=("flank",),
        may=("mark",),
        gauge="calliper or replica",
        low=_low(0.0),
        high=_high(1.0, d=True, unsafe=True),
    ),
    Kind(
        code="groove_bottom_depth",
        subject=Subject.GROOVE,
        quantity="length",
        may=("mark",),
        gauge="depth blade",
        low=_low(0.5, d=True),
        high=_high(2.5, d=True),
    ),
    Kind(
        code="bottom_clearance",
        subject=Subject.GROOVE,
        quantity="length",
        may=("mark",),
        gauge="wire or feeler",
        low=_low(0.5, unsafe=True),
        high=_high(8.0),
        signed=True,
        stops_at_or_below=0.0,
    ),
    Kind(
        code="seat_gauge_fit",
        subject=Subject.GROOVE,
        quantity="length",
        place=("fit",),
        gauge="radius gauge",
        low=_low(0.48, d=True, unsafe=True),
        high=_high(0.65, d=True),
    ),
    Kind(
        code="slot_width",
        subject=Subject.GROOVE,
        quantity="length",
        may=("mark",),
        gauge="pin or feeler",
        low=_low(0.3, d=True),
        high=_high(0.85, d=True, unsafe=True),
    ),
    Kind(
        code="seat_runout",
        subject=Subject.GROOVE,
        quantity="length",
        gauge="dial gauge",
        low=_low(0.0),
        high=_high(1.0, unsafe=True),
    ),
    Kind(
        code="seat_diameter_difference",
        subject=Subject.GROOVE,
        quantity="length",
        gauge="tape",
        low=_low(-1.0, unsafe=True),
        high=_high(1.0, unsafe=True),
        signed=True,
    ),
    Kind(
        code="rim_thickness",
        subject=Subject.SHEAVE,
        quantity="length",
        place=("axial_mm", "mark", "over"),
        may=("web_side", "method"),
        gauge="hook calliper",
        low=_low(8.0, unsafe=True),
        high=_high(100.0),
    ),
    Kind(
        code="underside_runout",
        subject=Subject.SHEAVE,
        quantity="length",
        may=("axial_mm",),
        gauge="dial gauge",
        low=_low(0.0),
        high=_high(8.0),
    ),
    Kind(
        code="hardness",
        subject=Subject.SHEAVE,
        quantity="hardness",
        may=("mark", "method"),
        gauge="portable tester",
        low=_low(140.0, unsafe=True),
        high=_high(320.0),
    ),
    Kind(
        code="rope_tension",
        subject=Subject.ROPE,
        quantity="force",
        place=_TENSION,
        may=("last_direction",),
        gauge="force gauge",
        low=_low(0.0, unsafe=True),
        high=_high(100_000.0),
    ),
    Kind(
        code="tension_index",
        subject=Subject.ROPE,
        quantity="ratio",
        place=_TENSION,
        may=("last_direction",),
        gauge="clamp gauge",
        low=_low(0.5, unsafe=True),
        high=_high(2.0, unsafe=True),
    ),
    Kind(
        code="wave_time",
        subject=Subject.ROPE,
        quantity="time",
        place=_TENSION,
        may=("last_direction",),
        gauge="stopwatch, ten returns",
        low=_low(0.0),
        high=_high(600.0),
    ),
    Kind(
        code="spring_length",
        subject=Subject.ROPE,
        quantity="length",
        place=_TENSION,
        may=("last_direction",),
        gauge="rule",
        low=_low(0.0),
        high=_high(1000.0),
    ),
    Kind(
        code="breaks_total",
        subject=Subject.ROPE,
        quantity="count",
        place=("window",),
        may=("station",),
        gauge="eye and cloth, ropes stopped",
        low=_low(0.0),
        high=_high(200.0, unsafe=True),
    ),
    Kind(
        code="breaks_worst_strand",
        subject=Subject.ROPE,
        quantity="count",
        place=("window",),
        may=("station",),
        gauge="eye and cloth, ropes stopped",
        low=_low(0.0),
        high=_high(100.0, unsafe=True),
    ),
    Kind(
        code="breaks_adjacent",
        subject=Subject.ROPE,
        quantity="count",
        place=("window",),
        may=("station",),
        gauge="eye and cloth, ropes stopped",
        low=_low(0.0),
        high=_high(50.0, unsafe=True),
    ),
    Kind(
        code="breaks_valley",
        subject=Subject.ROPE,
        quantity="count",
        place=("window",),
        may=("station",),
        gauge="eye and cloth, ropes stopped",
        low=_low(0.0),
        high=_high(20.0, unsafe=True),
    ),
    Kind(
        code="lay_length",
        subject=Subject.ROPE,
        quantity="length",
        may=("station",),
        gauge="paper rubbing over five lays",
        low=_low(5.5, d=True),
        high=_high(8.0, d=True, unsafe=True),
    ),
    Kind(
        code="crown_wire_flat",
        subject=Subject.ROPE,
        quantity="length",
        may=("station",),
        gauge="loupe",
        low=_low(0.0),
        high=_high(1 / 3, d=True, unsafe=True),
    ),
    Kind(
        code="rouge",
        subject=Subject.ROPE,
        words=("none", "trace", "heavy"),
        may=("station",),
        gauge="eye, ropes stopped",
    ),
    Kind(
        code="lubrication",
        subject=Subject.ROPE,
        words=("dry", "smudge", "wet"),
        may=("station",),
        gauge="finger, ropes stopped",
    ),
    Kind(
        code="twist",
        subject=Subject.ROPE,
        words=("none", "seen"),
        may=("station",),
        gauge="eye, ropes stopped",
    ),
    Kind(
        code="rope_mark_offset",
        subject=Subject.ROPE,
        quantity="length",
        place=("travel", "load"),
        may=("round_trips", "frame_mark"),
        gauge="chalk and rule",
        low=_low(-2000.0, unsafe=True),
        high=_high(2000.0, unsafe=True),
        signed=True,
    ),
    Kind(
        code="slip_seen",
        subject=Subject.MACHINE,
        words=("no", "yes"),
        unsafe_words=("yes",),
        gauge="eye",
        stops=True,
    ),
    Kind(
        code="brake_slide_seen",
        subject=Subject.MACHINE,
        words=("no", "yes"),
        unsafe_words=("yes",),
        gauge="eye",
        stops=True,
    ),
    Kind(
        code="levelling_error",
        subject=Subject.MACHINE,
        quantity="length",
        place=("floor",),
        may=("load",),
        gauge="rule",
        low=_low(-35.0, unsafe=True),
        high=_high(35.0, unsafe=True),
        signed=True,
    ),
    Kind(
        code="cwt_runby",
        subject=Subject.MACHINE,
        quantity="length",
        gauge="tape, car at the top landing",
        low=_low(50.0, unsafe=True),
        high=_high(3000.0),
        signed=True,
    ),
    Kind(
        code="car_runby",
        subject=Subject.MACHINE,
        quantity="length",
        gauge="tape, car at the bottom landing",
        low=_low(50.0, unsafe=True),
        high=_high(3000.0),
        signed=True,
    ),
    Kind(
        code="travel_speed",
        subject=Subject.MACHINE,
        quantity="speed",
        may=("load", "last_direction"),
        gauge="tachometer",
        low=_low(0.05),
        high=_high(20.0, unsafe=True),
    ),
    Kind(
        code="trip_counter",
        subject=Subject.MACHINE,
        quantity="count",
        gauge="controller",
        low=_low(0.0),
        high=_high(1e9),
    ),
    Kind(
        code="balance_load",
        subject=Subject.MACHINE,
        quantity="ratio",
        gauge="current test with weights",
        low=_low(0.35, unsafe=True),
        high=_high(0.55, unsafe=True),
    ),
    Kind(
        code="car_mass",
        subject=Subject.MACHINE,
        quantity="mass",
        gauge="weights",
        low=_low(100.0),
        high=_high(20_000.0),
    ),
    Kind(
        code="wrap_offset_x",
        subject=Subject.SHEAVE,
        quantity="length",
        gauge="tape, plumb line",
        low=_low(0.0),
        high=_high(10_000.0),
    ),
    Kind(
        code="wrap_drop_h",
        subject=Subject.SHEAVE,
        quantity="length",
        gauge="tape, plumb line",
        low=_low(0.0),
        high=_high(10_000.0),
    ),
    Kind(
        code="check",
        subject=Subject.MACHINE,
        words=("pass", "defect", "not seen"),
        unsafe_words=("defect",),
        place=("part",),
        gauge="eye, dye or feeler",
        stops=True,
    ),
)

KINDS = {kind.code: kind for kind in _KINDS}
