"""What a shop is told when grooves are to be turned."""

from dataclasses import dataclass
from datetime import date

from inspections.decisions.records.kind import OptionKind
from inspections.decisions.records.option import Source, SourcedReason, named_sources
from inspections.engineering.verdict import Item
from inspections.reasons import Reason, english


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveDrawing:
    """What the register says of sheave and grooves beside what a cut is planned from.

    Angles in degrees, as the register and a shop's drawing have them. None is "not
    registered". `axial_mm` are (groove, distance from the rim face beside groove 1).
    `hardened_depth_mm` is what is asked for after the cut; `tried` names what is not
    as registered but a change that was tried.
    """

    groove_angle_deg: float | None = None
    undercut_angle_deg: float | None = None
    seat_radius_mm: float | None = None
    slot_width_mm: float | None = None
    slot_depth_mm: float | None = None
    slot_taper_deg: float | None = None
    flat_bottom_width_mm: float | None = None
    bottom_clearance_new_mm: float | None = None
    groove_pitch_mm: float | None = None
    axial_mm: tuple[tuple[int, float], ...] = ()
    rim_width_mm: float | None = None
    rim_construction: str = ""
    material: str = ""
    hardness_hb: float | None = None
    datum_mark: str = ""
    underside_runout_mm: float | None = None
    crack_checked_on: date | None = None
    hardened_depth_mm: float | None = None
    tried: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """One line of the order: a value with its tolerance, or why there is none.

    `called` is what the line is of. Instead of a number stands `answer`, such as that
    no crack was found, or `text` as the register has it. `sources` are where value and
    tolerance come from.
    """

    name: str
    called: Item
    value: float | None = None
    unit: str = ""
    lower: float | None = None
    upper: float | None = None
    text: str = ""
    answer: Item | None = None
    sources: tuple[Source, ...] = ()

    @property
    def words(self) -> str:
        """What the line is of, in English."""
        return english(self.called)

    @property
    def source(self) -> str:
        """Where it is from, in English."""
        return named_sources(self.sources)


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveToTurn:
    """One groove: where it is, how deep its seat, what is taken, what must stay."""

    number: int
    axial_mm: float | None
    seat_depth_mm: float | None
    turn_at_seat_mm: float | None
    metal_now_mm: float | None
    metal_after_mm: float | None
    metal_after_worst_mm: float | None
    is_deepest: bool
    is_thinnest: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RegrooveOrder:
    """The data a shop needs. Nothing missing is filled in; `missing` names it.

    may_be_placed : False while the cut does not fit, is blocked, or something is
        missing that the cut itself needs; `because` says which
    """

    kind: OptionKind
    may_be_placed: bool
    because: tuple[SourcedReason, ...]
    lines: tuple[OrderLine, ...]
    grooves: tuple[GrooveToTurn, ...]
    before_turning: tuple[SourcedReason, ...]
    after_turning: tuple[SourcedReason, ...]
    missing: tuple[Item, ...]
    cautions: tuple[Reason, ...]
