"""What friction the seats of one groove give, for all cases that ask for it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

from inspections.engineering.groove.forms import hardened_at
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.machine import Suspension
from inspections.engineering.traction.curve import FactorCurve, FactorCurves
from inspections.records import made_by_slots


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """Σ (f/μ)·α over the passes, at each depth that a case is told for.

    Parameters
    ----------
    factor_ratios : f/μ of each pass as worn [-]; when stalled the greatest from new
        to worn
    now : their sum with the wrap [rad]
    shallower : the same, every seat shallower by its standard deviation [rad]
    deeper : the same, every seat deeper by it [rad]
    as_new : of new seats [rad]
    renewed : of seats renewed [rad]; stalled, once they have bedded in
    standard : by the standard's own form [rad]; None for a V it has none for
    upper_bound : stalled, with uniform pressure [rad]; None otherwise
    bedded : stalled, with the angle that a thinner rope has over the slot once it has
        bedded in [rad]; None otherwise

    Raises nothing; SeatFriction makes it.

    Source: derived; Euler-Eytelwein for each pass.

    >>> from dataclasses import fields
    >>> fields(Given)[0].name
    'factor_ratios'
    """

    factor_ratios: tuple[float, ...]
    now: float
    shallower: float
    deeper: float
    as_new: float
    renewed: float
    standard: float | None
    upper_bound: float | None
    bedded: float | None


class SeatFriction:
    """What one groove's seats, or a pair's, give running and stalled, each once.

    Parameters
    ----------
    suspension : for the wrap [rad] and the rope's diameter [mm]
    groove : the groove as turned
    seat_depths_mm : s of the groove of each pass [mm], >= 0
    seat_depth_sd_mm : standard deviation of a seat depth [mm], >= 0
    curves : friction factors [-] that other grooves of the machine have asked for

    Raises OutsideValidity where the rope does not fit the groove.

    Source: EN 81-50:2014 5.11.2 with the friction factor of the worn seat.

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.groove import RoundGroove
    >>> seats = SeatFriction(suspension=EXAMPLE_MACHINE, curves=FactorCurves(),
    ...     groove=RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=0.0),
    ...     seat_depths_mm=(0.0,), seat_depth_sd_mm=0.0)
    >>> seats.of(stalled=False).factor_ratios
    (1.2732,)
    """

    def __init__(
        self,
        *,
        suspension: Suspension,
        groove: TurnedGroove,
        seat_depths_mm: tuple[float, ...],
        seat_depth_sd_mm: float,
        curves: FactorCurves,
    ) -> None:
        self.angles_rad = suspension.wrap.angles_rad
        self._groove, self._curves = groove, curves
        self._diameter_mm = suspension.rope_diameter_mm
        self._depths_mm, self._sd_mm = seat_depths_mm, seat_depth_sd_mm
        self._curve: FactorCurve = curves.of(
            groove=groove, rope_diameter_mm=self._diameter_mm
        )

    def of(self, *, stalled: bool) -> Given:
        """Return what they give a case in which the rope must hold, or must slip."""
        return self._stalled if stalled else self._running

    @cached_property
    def _running(self) -> Given:
        return self._given(self._at_depth, stalled=False)

    @cached_property
    def _stalled(self) -> Given:
        return self._given(self._at_most, stalled=True)

    def _at_depth(self, depth_mm: float) -> float:
        return self._curve.ratio(depth_mm=depth_mm)

    def _at_most(self, depth_mm: float) -> float:
        return self._curve.greatest_ratio(depth_mm=depth_mm)

    def _given(self, ratio: Callable[[float], float], *, stalled: bool) -> Given:
        curve, depths_mm = self._curve, self._depths_mm
        passes = len(self.angles_rad)
        worn = tuple(map(ratio, depths_mm))
        hardened = hardened_at(groove=self._groove, seat_depth_mm=max(depths_mm))
        return Given(
            factor_ratios=worn,
            now=self._sum(worn),
            shallower=self._sum(map(ratio, self._moved(-self._sd_mm))),
            deeper=self._sum(map(ratio, self._moved(self._sd_mm))),
            as_new=self._sum([ratio(0.0)] * passes),
            # Stalled, a renewed seat matters until it has bedded in.
            renewed=self._sum([ratio(curve.bedded_mm if stalled else 0.0)] * passes),
            standard=self._standard(stalled=stalled, hardened=hardened),
            upper_bound=self._sum(
                [curve.upper_bound_ratio(depth_mm=each) for each in depths_mm]
            )
            if stalled
            else None,
            bedded=self._bedded() if stalled else None,
        )

    def _standard(self, *, stalled: bool, hardened: bool) -> float | None:
        standard = self._curve.standard_ratio(stalled=stalled, hardened=hardened)
        return (
            None if standard is None else self._sum([standard] * len(self.angles_rad))
        )

    def _bedded(self) -> float:
        bedded = self._curves.of_bedded(
            groove=self._groove, rope_diameter_mm=self._diameter_mm
        )
        return self._sum(
            [bedded.greatest_ratio(depth_mm=each) for each in self._depths_mm]
        )

    def _moved(self, shift_mm: float) -> list[float]:
        return [max(depth_mm + shift_mm, 0.0) for depth_mm in self._depths_mm]

    def _sum(self, ratios: Iterable[float]) -> float:
        total = 0.0
        for factor_ratio, angle_rad in zip(ratios, self.angles_rad, strict=True):
            total += factor_ratio * angle_rad
        return total
