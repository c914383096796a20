"""The search for the depth at which a case no longer closes."""

from collections.abc import Callable
from math import log

from inspections.engineering.groove.contact import bottoming_depth_mm
from inspections.engineering.machine import Suspension
from inspections.engineering.tensions import ratios_of
from inspections.engineering.traction.curve import FactorCurve, FactorCurves
from inspections.engineering.traction.rules import (
    LoadCase,
    TractionRules,
    dynamic_factor,
    friction_coefficient,
)
from inspections.engineering.traction_limit.crossing import first_crossing_mm
from inspections.engineering.traction_limit.outcome import LimitOutcome
from inspections.engineering.traction_limit.spread import Circumstances
from inspections.engineering.validity import require_not_negative

Found = tuple[LimitOutcome, float | None]


class LimitSearch:
    """The search for one machine's limits, sharing what its steps have in common.

    Parameters
    ----------
    rules : the code's values
    offsets_mm : of each pass's seat against the deepest [mm], <= 0

    Raises OutsideValidity for an offset above zero.

    Source: derived; e^(Σ f·α) over the passes, each seat as worn.

    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> LimitSearch(rules=EN_81_50, offsets_mm=(0.0,)).offsets_mm
    (0.0,)
    """

    def __init__(self, *, rules: TractionRules, offsets_mm: tuple[float, ...]) -> None:
        for offset_mm in offsets_mm:
            require_not_negative(offset_below_deepest_mm=-offset_mm)
        self.rules = rules
        self.offsets_mm = offsets_mm
        self._curves = FactorCurves()
        self._ratios: dict[tuple[Suspension, LoadCase], float] = {}
        self._laid: dict[FactorCurve, tuple[float, ...]] = {}

    def depth(self, *, circumstances: Circumstances, case: LoadCase) -> Found:
        """Return outcome and depth [mm] of one case."""
        suspension = circumstances.suspension
        if case.is_stalled and suspension.drive_stalls:
            return LimitOutcome.ACCEPTED_OTHERWISE, None
        curve = self._curve(circumstances)
        surplus = self._surplus(
            curve=curve,
            angles_rad=suspension.wrap.angles_rad,
            asked=self._asked(circumstances, case),
            stalled=case.is_stalled,
        )
        if surplus(0.0) < 0.0:
            return LimitOutcome.DOES_NOT_CLOSE_AS_NEW, None
        depth_mm = first_crossing_mm(surplus=surplus, depths_mm=self._depths(curve))
        if depth_mm is not None:
            return LimitOutcome.CLOSES_UNTIL, depth_mm
        if not case.is_stalled and circumstances.groove.bottom_is_unknown:
            return LimitOutcome.NOT_KNOWN, None
        return LimitOutcome.HOLDS_THROUGHOUT, None

    def bottom(self, *, circumstances: Circumstances) -> Found:
        """Return outcome and depth [mm] at which to act before the rope bottoms."""
        if not circumstances.groove.has_bottom:
            return LimitOutcome.HOLDS_THROUGHOUT, None
        bottom_mm = bottoming_depth_mm(
            groove=circumstances.groove,
            rope_diameter_mm=circumstances.rope_diameter_mm,
        )
        if bottom_mm is None:
            return LimitOutcome.NOT_KNOWN, None
        depth_mm = max(bottom_mm - self.rules.bottom_allowance_mm, 0.0)
        return LimitOutcome.CLOSES_UNTIL, depth_mm

    def end_mm(self, *, circumstances: Circumstances) -> float:
        """Return the greatest depth looked at [mm]."""
        return self._depths(self._curve(circumstances))[-1]

    def _curve(self, circumstances: Circumstances) -> FactorCurve:
        return self._curves.of(
            groove=circumstances.groove,
            rope_diameter_mm=circumstances.rope_diameter_mm,
        )

    def _depths(self, curve: FactorCurve) -> tuple[float, ...]:
        """The curve's own depths, as each of the passes comes to them."""
        found = self._laid.get(curve)
        if found is None:
            own = curve.depths_mm()
            moved = {depth - offset for depth in own for offset in self.offsets_mm}
            found = self._laid[curve] = tuple(sorted(moved | set(own)))
        return found

    def _asked(self, circumstances: Circumstances, case: LoadCase) -> float:
        """Σ (f/μ)·α at which the case just closes."""
        suspension = circumstances.suspension
        ratio = self._ratios.get((suspension, case))
        if ratio is None:
            found = ratios_of(suspension=suspension, rules=self.rules, case=case)
            ratio = self._ratios[suspension, case] = max([each for each, _ in found])
        factor = dynamic_factor(
            rules=self.rules, case=case, rated_speed_m_s=suspension.rated_speed_m_s
        )
        friction = circumstances.friction_scale * friction_coefficient(
            rules=self.rules, case=case, rope_speed_m_s=suspension.rope_speed_m_s
        )
        return log(ratio * factor) / friction

    def _surplus(
        self,
        *,
        curve: FactorCurve,
        angles_rad: tuple[float, ...],
        asked: float,
        stalled: bool,
    ) -> Callable[[float], float]:
        passes = tuple(zip(angles_rad, self.offsets_mm, strict=True))
        factor_ratio = curve.greatest_at if stalled else curve.at

        if self.offsets_mm == (0.0,):
            [angle_rad] = angles_rad

            if stalled:
                return lambda depth_mm: asked - angle_rad * factor_ratio(depth_mm)
            return lambda depth_mm: angle_rad * factor_ratio(depth_mm) - asked

        def surplus(depth_mm: float) -> float:
            given = sum(
                angle_rad * factor_ratio(max(depth_mm + offset_mm, 0.0))
                for angle_rad, offset_mm in passes
            )
            return asked - given if stalled else given - asked

        return surplus
