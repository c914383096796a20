"""What is asked of register and visit, and what a block is."""

from dataclasses import dataclass
from enum import StrEnum

from inspections.engineering.validity import require_not_negative, require_positive
from inspections.reasons import Reason


class Blocked(StrEnum):
    """What cannot go on."""

    ASSESSMENT = "assessment"
    TRACTION = "traction"
    CUT = "cut"
    RENEWAL = "renewal of ropes"
    EQUALISING = "equalising of tensions"
    LUBRICATION = "lubrication"
    READING = "reading"


class SuspensionMeans(StrEnum):
    """What the car hangs on."""

    STEEL_ROPE = "bare steel rope"
    COATED_ROPE = "coated rope"
    SYNTHETIC_ROPE = "synthetic rope"
    BELT = "belt"


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockFacts:
    """What the register and the visit say. None is "not known" or "not seen".

    `undercut_angle_rad` is the effective one of a groove with a slot, from slot width
    and rope; it is None for a V, whose angle is wide by nature while it is new.
    `clearance_most_mm` is the most that can be below the rope in the groove as cut.
    """

    suspension: SuspensionMeans = SuspensionMeans.STEEL_ROPE
    lined_grooves: bool = False
    roping_ratio: int = 1
    ropes: int | None = None
    missing_masses: tuple[str, ...] = ()
    undercut_angle_rad: float | None = None
    diameter_ratio_after_cut: float | None = None
    hardened_layer_gone: bool = False
    ropes_to_renew: int | None = None
    grades_mpa: tuple[float, ...] = ()
    lays: tuple[str, ...] = ()
    new_rope_thicker_than_seat: bool = False
    seat_bands_mm: tuple[float, float] | None = None
    diameter_growth_mm: float | None = None
    crown_rise_mm: float | None = None
    clearance_mm: float | None = None
    clearance_most_mm: float | None = None
    uneven_grooves_remain: bool = False
    slip_or_traction_open: bool = False

    def __post_init__(self) -> None:
        """Raise OutsideValidity for a width, ratio or count that cannot be."""
        require_positive(roping_ratio=self.roping_ratio)
        counts = {"ropes": self.ropes, "ropes_to_renew": self.ropes_to_renew}
        require_not_negative(
            **{name: count for name, count in counts.items() if count is not None}
        )
        for width_mm in self.seat_bands_mm or ():
            require_not_negative(seat_bands_mm=width_mm)
        for grade_mpa in self.grades_mpa:
            require_positive(grades_mpa=grade_mpa)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One thing that cannot go on, and why."""

    code: str
    what: Blocked
    reason: Reason
