"""One groove at any values of what is not known of it, each made once."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property
from typing import Any

from inspections.engineering.groove.bedded import as_bedded
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.traction.curve import FactorCurve


class Corner:
    """A groove at one choice of its values, and its friction factors.

    Parameters
    ----------
    groove : the groove as turned, at that choice
    rope_diameter_mm : d [mm], > 0

    Raises nothing of its own; its curves raise OutsideValidity when they are asked for.

    Source: derived.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> vee = VGroove(groove_angle_rad=radians(38))
    >>> Corner(groove=vee, rope_diameter_mm=13.0).bedded is None
    True
    """

    def __init__(self, *, groove: TurnedGroove, rope_diameter_mm: float) -> None:
        self.groove = groove
        self._diameter_mm = rope_diameter_mm

    @cached_property
    def curve(self) -> FactorCurve:
        """f/μ over the groove's life [-]."""
        return FactorCurve(groove=self.groove, rope_diameter_mm=self._diameter_mm)

    @cached_property
    def bedded(self) -> FactorCurve | None:
        """The same once a thinner rope has bedded in; None where nothing changes."""
        found = as_bedded(groove=self.groove, rope_diameter_mm=self._diameter_mm)
        if found == self.groove:
            return None
        return FactorCurve(groove=found, rope_diameter_mm=self._diameter_mm)


class GrooveCorners:
    """The corners of one groove with one rope, shared by all seats cut alike.

    Parameters
    ----------
    groove : the groove as turned, what is not known at its typical value
    rope_diameter_mm : d [mm], > 0

    Raises nothing of its own.

    Source: own bookkeeping.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> corners = GrooveCorners(groove=VGroove(groove_angle_rad=radians(38)),
    ...     rope_diameter_mm=13.0)
    >>> wide = corners.at(values={"groove_angle_rad": radians(40)})
    >>> wide is corners.at(values={"groove_angle_rad": radians(40)})
    True
    """

    def __init__(self, *, groove: TurnedGroove, rope_diameter_mm: float) -> None:
        self._groove = groove
        self._diameter_mm = rope_diameter_mm
        self._made: dict[tuple[tuple[str, float], ...], Corner] = {}

    def at(self, *, values: Mapping[str, float]) -> Corner:
        """Return the groove with some of its values changed [each in its own unit].

        Raises OutsideValidity where there is no such groove.
        """
        return self.of(values=tuple(values.items()))

    def of(self, *, values: tuple[tuple[str, float], ...]) -> Corner:
        """Return the groove with some of its values changed, by name and value.

        Raises OutsideValidity where there is no such groove.
        """
        found = self._made.get(values)
        if found is None:
            changed: dict[str, Any] = dict(values)
            found = self._made[values] = Corner(
                groove=replace(self._groove, **changed),
                rope_diameter_mm=self._diameter_mm,
            )
        return found

    def anew(self) -> "GrooveCorners":
        """Return the same with nothing worked out yet."""
        return GrooveCorners(groove=self._groove, rope_diameter_mm=self._diameter_mm)

    @cached_property
    def has_bedded(self) -> bool:
        """Whether the rope is thinner than the seat, so that it beds in otherwise."""
        bedded = as_bedded(groove=self._groove, rope_diameter_mm=self._diameter_mm)
        return bedded != self._groove
