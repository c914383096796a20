"""What is known of a cast rim: readings, draft, run-out, web, bolts."""

from dataclasses import dataclass
from enum import StrEnum
from math import pi

from inspections.engineering.validity import (
    OutsideValidity,
    require_finite,
    require_not_negative,
    require_positive,
    require_within,
)
from inspections.reasons import Code, because

# More draft than this is a chamfer, not draft; see the tables of patterns.
_MOST_DRAFT_RAD = pi / 18


class Thicker(StrEnum):
    """The way along the axle in which the metal of a cast rim grows."""

    TOWARDS_DATUM = "towards the datum face"
    AWAY_FROM_DATUM = "away from the datum face"
    TOWARDS_WEB = "towards the web from both sides"


class Surface(StrEnum):
    """The turned surface from which a thickness was read to the underside."""

    LAND = "land"
    BOTTOM = "groove bottom"


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownDraft:
    """A draft known from a drawing: its angle [rad], way and sd [rad]."""

    angle_rad: float
    thicker: Thicker
    sd_rad: float = 0.0

    def __post_init__(self) -> None:
        """Raise OutsideValidity for an angle past ten degrees or a negative sd."""
        require_within(low=0.0, high=_MOST_DRAFT_RAD, angle_rad=self.angle_rad)
        require_within(low=0.0, high=_MOST_DRAFT_RAD, sd_rad=self.sd_rad)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredDraft:
    """A draft to be found from readings at two or more axial places."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftRange:
    """A draft known between two angles [rad]; its way may be unknown (None)."""

    low_rad: float
    high_rad: float
    thicker: Thicker | None = None

    def __post_init__(self) -> None:
        """Raise OutsideValidity for angles past ten degrees or the wrong way round."""
        require_within(low=0.0, high=_MOST_DRAFT_RAD, high_rad=self.high_rad)
        require_within(low=0.0, high=self.high_rad, low_rad=self.low_rad)


Draft = KnownDraft | MeasuredDraft | DraftRange


@dataclass(frozen=True, slots=True, kw_only=True)
class GrooveBottom:
    """A groove: its place along the axle and its depth from the land to the bottom.

    The bottom is that of the slot; in a plain V the apex, in a round groove the seat.
    """

    number: int
    axial_mm: float
    bottom_depth_mm: float
    sd_mm: float = 0.0

    def __post_init__(self) -> None:
        """Raise OutsideValidity for a place or depth that cannot be."""
        require_finite(axial_mm=self.axial_mm)
        require_positive(bottom_depth_mm=self.bottom_depth_mm)
        require_not_negative(sd_mm=self.sd_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class ThicknessReading:
    """A thickness from a turned surface to the cast underside.

    Read from the bottom of a groove, `groove` says which. `angle_rad` is the place
    round the rim; None is "not noted".
    """

    axial_mm: float
    thickness_mm: float
    sd_mm: float
    angle_rad: float | None = None
    surface: Surface = Surface.LAND
    groove: int | None = None

    def __post_init__(self) -> None:
        """Raise OutsideValidity for a thickness or sd that is not positive."""
        require_finite(axial_mm=self.axial_mm)
        require_positive(thickness_mm=self.thickness_mm, sd_mm=self.sd_mm)
        if self.angle_rad is not None:
            require_finite(angle_rad=self.angle_rad)


@dataclass(frozen=True, slots=True, kw_only=True)
class Web:
    """The web: middle of it along the axle, and its thickness."""

    axial_mm: float
    thickness_mm: float

    def __post_init__(self) -> None:
        """Raise OutsideValidity for a thickness that is not positive."""
        require_finite(axial_mm=self.axial_mm)
        require_positive(thickness_mm=self.thickness_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class CastRunout:
    """How the cast underside runs against the turned surface.

    `indicator_mm` is the total reading of a dial gauge over one turn; `ovality_mm` the
    part of it that is a difference of diameters, None if it was not told apart.
    """

    indicator_mm: float
    ovality_mm: float | None = None
    sd_mm: float = 0.0

    def __post_init__(self) -> None:
        """Raise OutsideValidity where the ovality is more than the gauge showed."""
        require_not_negative(indicator_mm=self.indicator_mm, sd_mm=self.sd_mm)
        if self.ovality_mm is not None:
            require_within(
                low=0.0, high=2.0 * self.indicator_mm, ovality_mm=self.ovality_mm
            )

    @property
    def eccentric_mm(self) -> float:
        """Return the amplitude of the part that comes once a turn."""
        return self.indicator_mm / 2.0 - self.oval_mm

    @property
    def oval_mm(self) -> float:
        """Return the amplitude of the part that comes twice a turn."""
        return 0.0 if self.ovality_mm is None else self.ovality_mm / 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bolts:
    """Holes parallel to the axle in a bolted rim, and the span they take up."""

    land_radius_mm: float
    circle_radius_mm: float
    hole_diameter_mm: float
    axial_low_mm: float
    axial_high_mm: float
    sd_mm: float = 0.0

    def __post_init__(self) -> None:
        """Raise OutsideValidity for holes outside the rim or a span turned round."""
        require_positive(
            land_radius_mm=self.land_radius_mm,
            circle_radius_mm=self.circle_radius_mm,
            hole_diameter_mm=self.hole_diameter_mm,
        )
        require_not_negative(sd_mm=self.sd_mm)
        require_finite(axial_low_mm=self.axial_low_mm)
        require_finite(axial_high_mm=self.axial_high_mm)
        if self.axial_high_mm < self.axial_low_mm:
            raise OutsideValidity(
                name="axial_high_mm",
                value=self.axial_high_mm,
                rule=because(
                    Code.RULE_AT_LEAST_OTHER,
                    other="axial_low_mm",
                    limit=self.axial_low_mm,
                ),
            )
        outer_mm = self.circle_radius_mm + self.hole_diameter_mm / 2.0
        if outer_mm >= self.land_radius_mm:
            raise OutsideValidity(
                name="circle_radius_mm + hole_diameter_mm/2",
                value=outer_mm,
                rule=because(
                    Code.RULE_BELOW_OTHER,
                    other="land_radius_mm",
                    limit=self.land_radius_mm,
                ),
            )
