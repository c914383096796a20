"""Clearance to the groove's bottom over what is not known of the groove."""

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

from inspections.engineering.answer import Axis, Behaviour, OverBox, judge_over
from inspections.engineering.groove.contact import known_bottoming_mm
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.traction_answer.given import SEAT_DEPTH
from inspections.engineering.validity import (
    require_not_negative,
)

BOTTOMING = "BOTTOMING"


def answer_bottoming(
    *,
    groove: TurnedGroove,
    rope_diameter_mm: float,
    seat_depth_mm: float,
    allowance_mm: float,
    axes: tuple[Axis, ...],
) -> OverBox | None:
    """Return whether the rope is still clear of the bottom, whatever is not known.

    Parameters
    ----------
    groove : the groove as turned, what is not known at its typical value
    rope_diameter_mm : d of the rope that sank the seat [mm], > 0
    seat_depth_mm : s, depth of the seat [mm], >= 0
    allowance_mm : clearance at which to act [mm], >= 0
    axes : what is not known, each by the name of its field; "seat_depth_mm" for the
        seat. What does not exist on this groove is left out of account

    The margin is the depth still to go [mm]. None for a round groove, which has no
    bottom, and open where nobody knows where the bottom is.

    Raises OutsideValidity outside these ranges.

    Source: derived, s_b - allowance - s; the friction falls within 0.01 rope radius
    after touching.

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> width = Axis(name="bottom_width_mm", low=0.0, typical=5.2, high=7.15)
    >>> found = answer_bottoming(groove=VGroove(groove_angle_rad=radians(35),
    ...     bottom_width_mm=5.2), rope_diameter_mm=13.0, seat_depth_mm=5.0,
    ...     allowance_mm=0.5, axes=(width,))
    >>> found.answer.value, found.worst_margin, found.best_margin
    ('OPEN', -1.72, 9.62)
    """
    require_not_negative(seat_depth_mm=seat_depth_mm, allowance_mm=allowance_mm)
    if not groove.has_bottom:
        return None
    there = {item.name for item in fields(groove)}
    known = tuple(
        axis for axis in axes if axis.name in there or axis.name == SEAT_DEPTH
    )

    def margins(at: Mapping[str, float]) -> dict[str, float]:
        changed: dict[str, Any] = {n: v for n, v in at.items() if n != SEAT_DEPTH}
        bottom_mm = known_bottoming_mm(
            groove=replace(groove, **changed), rope_diameter_mm=rope_diameter_mm
        )
        sunk_mm = at.get(SEAT_DEPTH, seat_depth_mm)
        return {BOTTOMING: bottom_mm - allowance_mm - sunk_mm}

    told = {
        (BOTTOMING, "bottom_clearance_mm"): Behaviour.RISING,
        (BOTTOMING, "slot_depth_mm"): Behaviour.RISING,
        (BOTTOMING, "bottom_width_mm"): Behaviour.FALLING,
        (BOTTOMING, SEAT_DEPTH): Behaviour.FALLING,
    }
    return judge_over(axes=known, margins=margins, criteria=(BOTTOMING,), told=told)[0]
