"""What friction gives a rope in one groove, at any values of what is not known."""

from collections.abc import Mapping
from dataclasses import fields
from itertools import product

from inspections.engineering.answer import Axis
from inspections.engineering.answer.evaluations import (
    Evaluations,
    Moved,
    Place,
)
from inspections.engineering.answer.extremes import (
    Behaviour,
    Told,
    both_ends,
)
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.machine import Suspension
from inspections.engineering.traction.curve import FactorCurve
from inspections.engineering.traction_answer.corners import Corner, GrooveCorners
from inspections.engineering.validity import OutsideValidity

SEAT_DEPTH = "seat_depth_mm"
WRAP = "wrap_angle_rad"
# f·α/μ as worn, at its least and its greatest so far, and at its greatest bedded in.
WORN, LEAST, GREATEST, BEDDED_IN = KINDS = ("worn", "least", "greatest", "bedded in")
# Past the bottom friction dips here, in radii of the rope, and climbs again.
_DIP_RATIO = 0.2
_OF_GROOVE = (
    "mouth_angle_rad",
    "groove_angle_rad",
    "undercut_angle_rad",
    "bottom_width_mm",
    "slot_depth_mm",
    "bottom_clearance_mm",
    "seat_radius_mm",
)


class GivenFriction:
    """Σ (f/μ)·α of one groove or pair, each combination of values worked out once.

    Parameters
    ----------
    suspension : for the wrap [rad] and the rope's diameter [mm]
    groove : the groove as turned, what is not known at its typical value
    seat_depths_mm : s of the groove of each pass [mm], >= 0
    axes : what is not known; those of the groove and its seat are taken up
    corners : what other seats of the same groove have asked for, with the same axes

    Raises nothing; a combination outside its range has no value.

    Source: derived; f/μ of the arcs of the worn seat.

    >>> from math import radians
    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.groove import VGroove
    >>> vee = VGroove(groove_angle_rad=radians(38))
    >>> given = GivenFriction(suspension=EXAMPLE_MACHINE, groove=vee,
    ...     seat_depths_mm=(1.0,), axes=())
    >>> round(given.seen.at(place=())["worn"], 4)
    6.9839
    """

    def __init__(
        self,
        *,
        suspension: Suspension,
        groove: TurnedGroove,
        seat_depths_mm: tuple[float, ...],
        axes: tuple[Axis, ...],
        corners: GrooveCorners | None = None,
    ) -> None:
        self._angles_rad = suspension.wrap.angles_rad
        self._diameter_mm = suspension.rope_diameter_mm
        self._depths_mm = seat_depths_mm
        self._corners = corners or GrooveCorners(
            groove=groove, rope_diameter_mm=suspension.rope_diameter_mm
        )
        there = {item.name for item in fields(groove)}
        self.axes = tuple(
            axis
            for axis in axes
            if axis.name == SEAT_DEPTH
            or (
                axis.name in _OF_GROOVE
                and axis.name in there
                and getattr(groove, axis.name) is not None
            )
        )
        self.seen = Evaluations(axes=self.axes, margins=self._all)
        self._told = self._where_it_turns()
        self.has_bedded = self._corners.has_bedded

    def ends(self, *, kind: str) -> tuple[tuple[float, Place], ...]:
        """Return the least and the greatest of one kind [rad], each with its place."""
        return tuple(
            (value, place)
            for value, place in both_ends(
                seen=self.seen, criterion=kind, told=self.told()
            )
            if value is not None
        )

    def moves(self, *, kind: str) -> Moved:
        """Return one kind [rad] at both ends of each unknown, the others typical."""
        return self.seen.moves(criterion=kind)

    def holds_throughout(self) -> bool:
        """Return whether friction could be worked out wherever it was tried."""
        return self.seen.holds

    def told(self) -> Told:
        """Where friction may turn along depth, clearance, width and slot.

        A wider seat holds more, a wider mouth holds less; so does a wider undercut hold
        more until the rope is at its bottom, past which the greatest is in between.
        """
        return self._told

    def _where_it_turns(self) -> Told:
        bottoms = self._may_bottom()
        undercut = Behaviour.SEARCH if bottoms else Behaviour.RISING
        falls = Behaviour.FALLING
        return {
            (kind, name): turns
            for kind in KINDS
            for name, turns in (
                ("undercut_angle_rad", undercut),
                ("seat_radius_mm", Behaviour.RISING),
                ("mouth_angle_rad", Behaviour.FALLING),
                (SEAT_DEPTH, falls if kind == LEAST else self._depth_turns),
                ("bottom_clearance_mm", self._clearance_turns),
                ("slot_depth_mm", self._slot_turns),
                ("bottom_width_mm", self._width_turns),
            )
        }

    def _may_bottom(self) -> bool:
        """Return whether the deepest seat may be at the bottom, or past it."""
        deepest_mm = max(self._depths_mm)
        own = []
        for axis in self.axes:
            if axis.name == SEAT_DEPTH:
                deepest_mm = max(deepest_mm, axis.high)
            elif not axis.is_known:
                own.append([(axis.name, axis.low), (axis.name, axis.high)])
        for values in product(*own):
            try:
                bottom_mm = self._corners.at(values=dict(values)).curve.bottom_mm
            except OutsideValidity:
                # Where it cannot be said, it may.
                return True
            if bottom_mm is not None and bottom_mm <= deepest_mm:
                return True
        return False

    def _all(self, at: Mapping[str, float]) -> dict[str, float]:
        corner, depths_mm = self._corner(at), self._depths_at(at)
        curve = corner.curve
        if len(depths_mm) == 1 == len(self._angles_rad):
            return self._of_one_pass(corner, depths_mm[0], self._angles_rad[0])
        greatest = self._greatest(curve, depths_mm)
        return {
            WORN: self._sum([curve.ratio(depth_mm=depth) for depth in depths_mm]),
            LEAST: self._sum([curve.least_ratio(depth_mm=each) for each in depths_mm]),
            GREATEST: greatest,
            BEDDED_IN: greatest
            if corner.bedded is None
            else self._greatest(corner.bedded, depths_mm),
        }

    def _of_one_pass(
        self, corner: Corner, depth_mm: float, angle_rad: float
    ) -> dict[str, float]:
        curve, bedded = corner.curve, corner.bedded
        greatest = curve.greatest_ratio(depth_mm=depth_mm) * angle_rad
        worn = curve.ratio(depth_mm=depth_mm) * angle_rad
        return {
            WORN: worn,
            LEAST: curve.least_ratio(depth_mm=depth_mm) * angle_rad,
            GREATEST: greatest,
            BEDDED_IN: greatest
            if bedded is None
            else bedded.greatest_ratio(depth_mm=depth_mm) * angle_rad,
        }

    def _corner(self, at: Mapping[str, float]) -> Corner:
        own = tuple([pair for pair in at.items() if pair[0] != SEAT_DEPTH])
        return self._corners.of(values=own)

    def _depths_at(self, at: Mapping[str, float]) -> list[float]:
        deepest_mm = max(self._depths_mm)
        shift_mm = at.get(SEAT_DEPTH, deepest_mm) - deepest_mm
        return [max(depth + shift_mm, 0.0) for depth in self._depths_mm]

    def _sum(self, ratios: list[float]) -> float:
        pairs = zip(ratios, self._angles_rad, strict=True)
        return sum(ratio * angle_rad for ratio, angle_rad in pairs)

    def _greatest(self, curve: FactorCurve, depths_mm: list[float]) -> float:
        return self._sum([curve.greatest_ratio(depth_mm=each) for each in depths_mm])

    def _depth_turns(self, at: Mapping[str, float]) -> tuple[float, ...]:
        """Bedded in, at the bottom, and in the dip past it; for each of the passes."""
        curve = self._corner(at).curve
        found, bottom_mm = [curve.bedded_mm], curve.bottom_mm
        if bottom_mm is not None:
            found += [bottom_mm, bottom_mm + _DIP_RATIO * self._diameter_mm / 2.0]
        deepest_mm = max(self._depths_mm)
        offsets_mm = {deepest_mm - depth for depth in self._depths_mm}
        return tuple(depth + offset for depth in found for offset in offsets_mm)

    def _bottoms(self, at: Mapping[str, float]) -> tuple[float, ...]:
        """The depths of bottom at which friction is greatest, or in its dip."""
        dip_mm = _DIP_RATIO * self._diameter_mm / 2.0
        depths_mm = self._depths_at(at)
        return tuple(s for depth in depths_mm for s in (depth, depth - dip_mm))

    def _clearance_turns(self, at: Mapping[str, float]) -> tuple[float, ...]:
        return self._bottoms(at)

    def _slot_turns(self, at: Mapping[str, float]) -> tuple[float, ...]:
        groove = self._corner(at).groove
        return groove.slot_turns_mm(
            bottoms_mm=self._bottoms(at), rope_radius_mm=self._diameter_mm / 2.0
        )

    def _width_turns(self, at: Mapping[str, float]) -> tuple[float, ...]:
        groove = self._corner(at).groove
        return groove.width_turns_mm(
            bottoms_mm=self._bottoms(at), rope_radius_mm=self._diameter_mm / 2.0
        )
