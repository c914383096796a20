"""What a cut is planned from, and what the plan says."""

from dataclasses import dataclass
from enum import StrEnum

from inspections.engineering.groove import KnownForm
from inspections.engineering.validity import (
    OutsideValidity,
    require_finite,
    require_not_negative,
    require_positive,
)
from inspections.engineering.verdict import Item, Verdict
from inspections.reasons import Code, Reason, because


class Hardened(StrEnum):
    """What is left of a hardened layer after the cut."""

    NOT_HARDENED = "not hardened"
    REMAINS = "the hardened layer remains"
    GONE = "the hardened layer is gone"
    RENEWED = "to be hardened again after the cut"
    NOT_KNOWN = "not known"


class FitAnswer(StrEnum):
    """What can be said of a cut. None of these is a permission."""

    DOES_NOT_FIT = "does not fit"
    BLOCKED = "blocked as it stands"
    NOT_ASSESSED = "not assessed"
    STRENGTH_NOT_CONFIRMED = "fits geometrically, strength not confirmed"
    FITS = "fits by geometry and by the maker's minimum"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatAt:
    """Depth of a seat below the groove as last turned, at one place round the rim."""

    groove: int
    depth_mm: float
    sd_mm: float = 0.0
    angle_rad: float | None = None

    def __post_init__(self) -> None:
        """Raise OutsideValidity for a depth that is not a number or a negative sd."""
        require_finite(depth_mm=self.depth_mm)
        require_not_negative(sd_mm=self.sd_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheaveToCut:
    """The sheave as it stands.

    `pitch_diameter_turned_mm` is that of the grooves as last turned, with no wear;
    `pitch_diameter_new_mm` that of the sheave as delivered. `hardened_depth_mm` counts
    from the groove as last turned: 0 is not hardened, None is not known.
    """

    form: KnownForm
    pitch_diameter_new_mm: float
    pitch_diameter_turned_mm: float
    hardened_depth_mm: float | None
    rehardened_after: bool = False

    def __post_init__(self) -> None:
        """Raise OutsideValidity for diameters that cannot be."""
        require_positive(
            pitch_diameter_new_mm=self.pitch_diameter_new_mm,
            pitch_diameter_turned_mm=self.pitch_diameter_turned_mm,
        )
        if self.hardened_depth_mm is not None:
            require_not_negative(hardened_depth_mm=self.hardened_depth_mm)
        if self.pitch_diameter_turned_mm > self.pitch_diameter_new_mm:
            raise OutsideValidity(
                name="pitch_diameter_turned_mm",
                value=self.pitch_diameter_turned_mm,
                rule=because(
                    Code.RULE_AT_MOST_OTHER,
                    other="pitch_diameter_new_mm",
                    limit=self.pitch_diameter_new_mm,
                ),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What is known of the strength. None is "not known" or "not done"."""

    minimum_diameter_mm: float | None = None
    crack_free: bool | None = None
    hardness: tuple[Verdict, ...] = ()

    def __post_init__(self) -> None:
        """Raise OutsideValidity for a diameter that is not positive."""
        if self.minimum_diameter_mm is not None:
            require_positive(minimum_diameter_mm=self.minimum_diameter_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveAfterCut:
    """One groove after the cut: what is taken off its seat and what stays under it."""

    number: int
    seat_depth_mm: float
    removed_at_seat_mm: float
    metal_mm: float | None
    metal_worst_mm: float | None
    probability_below_minimum: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPlan:
    """A cut, what it leaves, and what can be said of it.

    `further_cuts` is how many more cuts of the same depth fit by geometry; it is None
    unless the maker's minimum, a crack check and hardness are known and in order.
    """

    answer: FitAnswer
    reasons: tuple[Reason, ...]
    missing: tuple[Item, ...]
    deepest_groove: int
    deepest_seat_mm: float
    clean_up_mm: float
    cut_depth_mm: float
    cut_depth_sd_mm: float
    pitch_diameter_mm: float
    diameter_ratio: float
    speed_ratio: float
    hardened: Hardened
    grooves: tuple[GrooveAfterCut, ...]
    thinnest: int | None
    verdicts: tuple[Verdict, ...]
    further_cuts: int | None
