"""The friction factor of one groove over its whole life, worked out once."""

from functools import cached_property
from math import inf

from inspections.engineering.groove.bedded import as_bedded
from inspections.engineering.groove.contact import (
    SeatArcs,
    bedding_depth_mm,
)
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.traction.friction import (
    friction_factor_ratio,
    mirrored_ratio,
    uniform_pressure_ratio,
)
from inspections.engineering.traction.greatest import depths_within_mm
from inspections.engineering.validity import (
    OutsideValidity,
    require_not_negative,
    require_positive,
)

# Past the bottom the factor falls over a cliff, dips, and climbs again; these
# parts of the rope's radius are close enough to find the first crossing.
PAST_BOTTOM_RATIOS = (0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.5)


class FactorCurve:
    """f/μ of a groove against seat depth, each value worked out once.

    Parameters
    ----------
    groove : the groove as turned
    rope_diameter_mm : d [mm], > 0

    Raises OutsideValidity where the rope does not fit the groove.

    Source: derived; as worn_factor_ratio and greatest_factor_depth_mm.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> vee = VGroove(groove_angle_rad=radians(38))
    >>> curve = FactorCurve(groove=vee, rope_diameter_mm=13.0)
    >>> curve.ratio(depth_mm=0.0), curve.ratio(depth_mm=1.0)
    (3.0716, 2.4251)
    """

    def __init__(self, *, groove: TurnedGroove, rope_diameter_mm: float) -> None:
        self.groove = groove
        self.rope_diameter_mm = rope_diameter_mm
        require_positive(rope_diameter_mm=rope_diameter_mm)
        self._arcs = SeatArcs(groove=groove, rope_diameter_mm=rope_diameter_mm)
        self.bottom_mm = self._arcs.bottom_mm
        self._may_peak = groove.may_peak
        self._ratios: dict[float, float] = {}
        self._greatest: dict[float, float] = {}
        self._least: dict[float, float] = {}
        self._bounds: dict[float, float] = {}
        self._standard: dict[tuple[bool, bool], float | None] = {}

    def ratio(self, *, depth_mm: float) -> float:
        """Return f/μ at a seat depth [mm] [-]."""
        return self.at(depth_mm)

    def at(self, depth_mm: float, /) -> float:
        """Return f/μ at a seat depth [mm] [-], for those who ask for many."""
        found = self._ratios.get(depth_mm)
        if found is None:
            if not 0.0 <= depth_mm < inf:
                require_not_negative(seat_depth_mm=depth_mm)
            found = self._ratios[depth_mm] = self._worked_out(depth_mm)
        return found

    def _worked_out(self, depth_mm: float) -> float:
        floor, begins, ends = self._arcs.bears(depth_mm)
        found = mirrored_ratio(floor_rad=floor, begins_rad=begins, ends_rad=ends)
        if found is not None:
            return found
        return friction_factor_ratio(arcs_rad=self._arcs.at(seat_depth_mm=depth_mm))

    def greatest_ratio(self, *, depth_mm: float) -> float:
        """Return the greatest f/μ between new and a seat depth [mm] [-]."""
        return self.greatest_at(depth_mm)

    def greatest_at(self, depth_mm: float, /) -> float:
        """Return what greatest_ratio tells, for those who ask for many."""
        found = self._greatest.get(depth_mm)
        if found is None:
            if not 0.0 <= depth_mm < inf:
                require_not_negative(seat_depth_mm=depth_mm)
            found = self._greatest[depth_mm] = self._greatest_to(depth_mm)
        return found

    def _greatest_to(self, depth_mm: float) -> float:
        reach_mm = self._reach_mm(depth_mm)
        if not self._may_peak:
            found = max(self.at(0.0), self.at(reach_mm))
            return found if depth_mm == reach_mm else max(found, self.at(depth_mm))
        depths_mm = depths_within_mm(
            groove=self.groove,
            reach_mm=reach_mm,
            seat_depth_mm=depth_mm,
            factor_ratio=self.at,
        )
        return max(map(self.at, depths_mm))

    def least_ratio(self, *, depth_mm: float) -> float:
        """Return the least f/μ between new and a seat depth [mm] [-].

        What a seat gains as it beds in counts for nothing: it never rises with depth.
        """
        found = self._least.get(depth_mm)
        if found is None:
            before_mm = (each for each in self._low_mm if each < depth_mm)
            found = min(map(self.at, (0.0, *before_mm, depth_mm)))
            self._least[depth_mm] = found
        return found

    def standard_ratio(self, *, stalled: bool, hardened: bool) -> float | None:
        """Return f/μ by the standard's own form [-]; None where it has none.

        stalled : whether the rope must slip in the case
        hardened : whether the flanks are hardened
        """
        asked = (stalled, hardened)
        if asked not in self._standard:
            try:
                self._standard[asked] = self.groove.standard_factor(
                    stalled=stalled,
                    hardened=hardened,
                    rope_radius_mm=self.rope_diameter_mm / 2.0,
                )
            except OutsideValidity:
                self._standard[asked] = None
        return self._standard[asked]

    def upper_bound_ratio(self, *, depth_mm: float) -> float:
        """Return f/μ at a seat depth [mm] if the pressure were uniform [-]."""
        found = self._bounds.get(depth_mm)
        if found is None:
            require_not_negative(seat_depth_mm=depth_mm)
            reach_mm = self._reach_mm(depth_mm)
            found = self._bounds[depth_mm] = max(
                uniform_pressure_ratio(arcs_rad=self._arcs.at(seat_depth_mm=each))
                for each in (0.0, reach_mm / 2.0, reach_mm, depth_mm)
            )
        return found

    def _reach_mm(self, depth_mm: float) -> float:
        """Depth up to which the factor can have risen by a seat depth."""
        reach_mm = min(self.bedded_mm, depth_mm)
        return reach_mm if self.bottom_mm is None else min(reach_mm, self.bottom_mm)

    @cached_property
    def bedded_mm(self) -> float:
        """The seat depth at which the rope has bedded in [mm]."""
        return bedding_depth_mm(
            groove=self.groove, rope_diameter_mm=self.rope_diameter_mm
        )

    @cached_property
    def _low_mm(self) -> tuple[float, ...]:
        """Depths past the bedded one at which the factor may be at its least [mm]."""
        return tuple(each for each in self.depths_mm() if each > self.bedded_mm)

    def depths_mm(self) -> tuple[float, ...]:
        """Return depths [mm], rising from 0, with no double crossing in between."""
        radius_mm = self.rope_diameter_mm / 2.0
        closing_mm = self.groove.closing_mm(rope_radius_mm=radius_mm)
        depths = {0.0, self.bedded_mm, *closing_mm}
        if self.bottom_mm is not None:
            depths.add(self.bottom_mm)
            depths.update(
                self.bottom_mm + part * radius_mm for part in PAST_BOTTOM_RATIOS
            )
        return tuple(sorted(depths))


class FactorCurves:
    """The curves of several grooves, each made once.

    Raises nothing of its own; a curve raises OutsideValidity as it is made.

    Source: own bookkeeping.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> curves = FactorCurves()
    >>> vee = VGroove(groove_angle_rad=radians(38))
    >>> curves.of(groove=vee, rope_diameter_mm=13.0) is curves.of(
    ...     groove=vee, rope_diameter_mm=13.0)
    True
    """

    def __init__(self) -> None:
        self._made: dict[tuple[TurnedGroove, float], FactorCurve] = {}
        self._bedded: dict[tuple[TurnedGroove, float], FactorCurve] = {}

    def anew(self) -> "FactorCurves":
        """Return the same with nothing worked out yet."""
        return FactorCurves()

    def of(self, *, groove: TurnedGroove, rope_diameter_mm: float) -> FactorCurve:
        """Return the curve of a groove with a rope of a diameter [mm]."""
        key = (groove, rope_diameter_mm)
        found = self._made.get(key)
        if found is None:
            found = self._made[key] = FactorCurve(
                groove=groove, rope_diameter_mm=rope_diameter_mm
            )
        return found

    def of_bedded(
        self, *, groove: TurnedGroove, rope_diameter_mm: float
    ) -> FactorCurve:
        """Return the curve of a groove as a thinner rope [mm] has bedded into it."""
        key = (groove, rope_diameter_mm)
        found = self._bedded.get(key)
        if found is None:
            bedded = as_bedded(groove=groove, rope_diameter_mm=rope_diameter_mm)
            found = self._bedded[key] = self.of(
                groove=bedded, rope_diameter_mm=rope_diameter_mm
            )
        return found
