"""What form and angles decide, whatever the diameter: friction over a seat's life."""

from dataclasses import dataclass

from inspections.engineering.groove.bedded import as_bedded
from inspections.engineering.groove.forms import KnownForm
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.groove_window.given import WindowGiven
from inspections.engineering.groove_window.grid import Cut, groove_of
from inspections.engineering.rope.pulleys import Edition
from inspections.engineering.traction.curve import FactorCurve
from inspections.engineering.traction_course import course_depths_mm, seat_end_mm
from inspections.engineering.validity import OutsideValidity


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A form with its angles, over the life of its seat.

    Parameters
    ----------
    form : 1 where there is such a groove and the code allows it, else below 0 [-]
    least_factor_ratio : the least f/μ from as cut to the end [-]
    greatest_factor_ratio : the greatest, with the seat as bedded in or not [-]
    pressure_factor : pressure over T/(d·D) as cut [-]
    equivalent_pulleys : N_equiv(t) of one pass [-]; None where there is none
    bottom_mm : from the pitch radius down to the groove's bottom, or to the end of the
        seat where there is none [mm]

    Raises nothing; shape_of makes it.

    Source: derived.

    >>> Shape(form=1.0, least_factor_ratio=1.9, greatest_factor_ratio=2.2,
    ...     pressure_factor=11.1, equivalent_pulleys=6.7, bottom_mm=10.5).form
    1.0
    """

    form: float
    least_factor_ratio: float = 1.0
    greatest_factor_ratio: float = 1.0
    pressure_factor: float = 1.0
    equivalent_pulleys: float | None = None
    bottom_mm: float = 0.0


_IMPOSSIBLE = Shape(form=-1.0)


def shape_of(*, given: WindowGiven, cut: Cut) -> Shape:
    """Return what form and angles of a cut decide.

    Parameters
    ----------
    given : the machine and what is demanded
    cut : form and angles [deg]

    A V that is neither hardened nor has a relief slot is not allowed; where the seat
    would be worn through the hardened layer it is not hardened.

    Raises nothing: a groove that cannot be has a form below 0.

    Source: EN 81-50:2014 5.11.2.2.1 (from memory).

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> given = WindowGiven(suspension=EXAMPLE_MACHINE, rules=EN_81_50, margin=0.05,
    ...     deepest_mm=0.0, seat_radius_mm=6.9, bottom_clearance_mm=4.0)
    >>> found = shape_of(given=given, cut=Cut(form=KnownForm.UNDERCUT,
    ...     groove_angle_deg=30.0, undercut_angle_deg=95.0, cut_depth_mm=1.0))
    >>> found.least_factor_ratio, found.equivalent_pulleys
    (1.9722, 6.7)
    """
    try:
        groove = groove_of(given=given, cut=cut)
        return _shape(given, cut, groove)
    except OutsideValidity:
        return _IMPOSSIBLE


def _shape(given: WindowGiven, cut: Cut, groove: TurnedGroove) -> Shape:
    diameter_mm = given.suspension.rope_diameter_mm
    curve = FactorCurve(groove=groove, rope_diameter_mm=diameter_mm)
    end_mm = _end_mm(given, groove, curve)
    if end_mm is None or _is_soft_vee(given, cut, end_mm):
        return _IMPOSSIBLE
    depths_mm = course_depths_mm(curve=curve, end_mm=end_mm)
    bedded = FactorCurve(
        groove=as_bedded(groove=groove, rope_diameter_mm=diameter_mm),
        rope_diameter_mm=diameter_mm,
    )
    radius_mm = diameter_mm / 2.0
    bottom_mm = groove.bottoming_mm(rope_radius_mm=radius_mm)
    return Shape(
        form=1.0,
        least_factor_ratio=min(curve.ratio(depth_mm=each) for each in depths_mm),
        greatest_factor_ratio=max(
            curve.greatest_ratio(depth_mm=end_mm),
            bedded.greatest_ratio(depth_mm=end_mm),
        ),
        pressure_factor=groove.standard_pressure(),
        equivalent_pulleys=_equivalent(given, groove),
        # Without a bottom the seat itself sinks into the metal.
        bottom_mm=radius_mm + (end_mm if bottom_mm is None else bottom_mm),
    )


def _end_mm(
    given: WindowGiven, groove: TurnedGroove, curve: FactorCurve
) -> float | None:
    """The end of the seat; None where the bottom comes before what is asked for."""
    by_bottom_mm = seat_end_mm(
        groove=groove, rope_diameter_mm=curve.rope_diameter_mm, rules=given.rules
    )
    if given.to_depth_mm is None:
        return by_bottom_mm
    if curve.bottom_mm is not None and by_bottom_mm < given.to_depth_mm:
        return None
    return given.to_depth_mm


def _is_soft_vee(given: WindowGiven, cut: Cut, end_mm: float) -> bool:
    if cut.form is not KnownForm.V or given.vee_slot_depth_mm > 0.0:
        return False
    return given.hardened_depth_mm <= end_mm


def _equivalent(given: WindowGiven, groove: TurnedGroove) -> float | None:
    edition = Edition.EN_81_1_1998 if given.old_vee_table else Edition.EN_81_50_2014
    try:
        return groove.equivalent_pulleys(edition=edition)
    except OutsideValidity:
        return None
