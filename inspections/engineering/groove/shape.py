"""What every form of groove answers: the one record of what a form is."""

from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import pi, radians
from typing import ClassVar, Self

from inspections.engineering.groove.profile import Profile
from inspections.engineering.rope.pulleys import Edition
from inspections.reasons import Term

# Rounding of an angle typed in degrees must not put it past its own limit.
ROUNDING_RAD = 1e-9

Arc = tuple[float, float]


class SetBy(StrEnum):
    """What a tool is set by to turn a form."""

    GROOVE_ANGLE = "groove angle"
    MOUTH_ANGLE = "mouth angle"
    UNDERCUT_ANGLE = "undercut angle"
    SEAT = "seat"
    SLOT = "slot"


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterField:
    """A field of the register that a form's record is made of.

    Parameters
    ----------
    field : name of the record's field
    columns : names in the register, the first that is filled in counts
    needed : what is missing where none is filled in; None where it may be empty
    empty : what the field is then, in its own unit [mm] or [rad]; None for not known

    Raises nothing.

    Source: own definition; a column in degrees ends in _deg.

    >>> RegisterField(field="seat_radius_mm", columns=("seat_radius_mm",)).empty
    0.0
    """

    field: str
    columns: tuple[str, ...]
    needed: Term | None = None
    empty: float | None = 0.0

    def value_of(self, *, entered: Mapping[str, float | None]) -> float | None:
        """Return the field's value [mm] or [rad], None for not known or missing."""
        for name in self.columns:
            value = entered.get(name)
            # No slot, taper or flat has a size of 0: such an entry is none.
            if value is not None and (value or self.needed or self.empty is None):
                return radians(value) if name.endswith("_deg") else value
        return None if self.needed else self.empty


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnedGroove(ABC):
    """A groove as turned, of any form.

    What a form is for the rest of the program stands in its class:

    - `told`: what a document says of it, each with the register's column that it
      tells, the first in any case;
    - `columns`: the fields of the register it is made of, besides the hardened depth;
    - `has_bottom`: whether a rope can sink to a bottom below its seat. Where not, the
      seat itself is the bottom: wear takes the rim's metal;
    - `measured_by`: the kinds of reading that only some forms have;
    - `set_by`: what the tool is set by that turns it;
    - `starting_rates_mm`: guessed median wear [mm a year], bare and hardened, where no
      fleet has been learnt from; assumptions, no source;
    - `clearance_sd_mm`: how far the clearance as cut may be off, where a seat depth is
      wanted as such; assumption, no source.

    Parameters
    ----------
    hardened_depth_mm : depth to which the seat is hardened [mm], >= 0;
        0 is not hardened
    """

    told: ClassVar[tuple[tuple[str, str], ...]]
    columns: ClassVar[tuple[RegisterField, ...]]
    has_bottom: ClassVar[bool]
    measured_by: ClassVar[frozenset[str]]
    set_by: ClassVar[tuple[SetBy, ...]]
    starting_rates_mm: ClassVar[tuple[float, float]]
    clearance_sd_mm: ClassVar[float] = 0.15

    hardened_depth_mm: float = 0.0

    @property
    @abstractmethod
    def opening_rad(self) -> float:
        """γ, the angle by which the flanks open above the rope [rad]."""

    @property
    def flank_normal_rad(self) -> float:
        """θ_n = π/2 - γ/2, from the bottom to a flank's normal [rad]."""
        return (pi - self.opening_rad) / 2.0

    @property
    def bottom_is_unknown(self) -> bool:
        """Whether there is a bottom and nobody knows where."""
        return False

    @property
    def must_be_hardened(self) -> bool:
        """Whether the form is not permitted unhardened."""
        return False

    def bottoming_mm(self, *, rope_radius_mm: float) -> float | None:
        """Return the seat depth [mm] at which the rope touches the bottom, or None."""
        return None

    @abstractmethod
    def arc_begins_rad(
        self, *, rope_radius_mm: float, seat_depth_mm: float, seat_edge_rad: float
    ) -> float:
        """Return where the right flank's arc begins, from the bottom [rad].

        `seat_edge_rad` is where a seat worn into a plain flank begins.
        """

    @property
    def fixed_edge_rad(self) -> float | None:
        """Where the arc begins at any depth [rad]; None where that moves with it."""
        return None

    def closing_mm(self, *, rope_radius_mm: float) -> tuple[float, ...]:
        """Return the seat depths [mm] at which a slot has closed."""
        return ()

    @property
    def may_peak(self) -> bool:
        """Whether the factor may be greatest between new and bedded in."""
        return False

    def slot_turns_mm(
        self, *, bottoms_mm: tuple[float, ...], rope_radius_mm: float
    ) -> tuple[float, ...]:
        """Return the depths of slot [mm] at which friction may turn."""
        return ()

    def width_turns_mm(
        self, *, bottoms_mm: tuple[float, ...], rope_radius_mm: float
    ) -> tuple[float, ...]:
        """Return the widths of flat or slot [mm] at which friction may turn."""
        return ()

    @abstractmethod
    def standard_factor(
        self, *, stalled: bool, hardened: bool, rope_radius_mm: float
    ) -> float:
        """Return f/μ by the standard's closed form [-]. Raises OutsideValidity."""

    @abstractmethod
    def standard_pressure(self) -> float:
        """Return the pressure over T/(d·D) by closed form or convention [-]."""

    @abstractmethod
    def equivalent_pulleys(self, *, edition: Edition) -> float:
        """Return N_equiv(t), what the sheave counts as [-]. Raises OutsideValidity."""

    @abstractmethod
    def rise_ratio(self, *, on_edges: bool) -> float:
        """Return what a rope's half thickness is, over the radius it gains [-]."""

    @abstractmethod
    def fields_of_items(self) -> dict[str, str]:
        """Return the record's field that each uncertain item of the register is."""

    def bedded(self, *, rope_diameter_mm: float) -> Self:
        """Return the groove as a thinner rope has bedded in. Raises OutsideValidity."""
        return self

    @abstractmethod
    def profile(self, *, seat_bottom_mm: float, rope_radius_mm: float) -> Profile:
        """Return the outline as turned, its seat's bottom so far below the rim [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnedSeat(TurnedGroove):
    """A groove whose seat is turned to a radius, with or without a slot in it.

    Parameters
    ----------
    hardened_depth_mm : depth to which the seat is hardened [mm], >= 0;
        0 is not hardened
    seat_radius_mm : r_g, radius of the turned seat [mm], > 0
    mouth_angle_rad : γ, angle the two flanks open by above the seat [rad]
    """

    seat_radius_mm: float
    mouth_angle_rad: float

    @property
    def opening_rad(self) -> float:
        """γ of the mouth [rad]."""
        return self.mouth_angle_rad

    @property
    @abstractmethod
    def half_slot_mm(self) -> float:
        """Half the width of the slot at the seat [mm], 0 without one."""
