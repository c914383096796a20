"""The cuts that a window is looked for among."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import radians

from inspections.engineering.groove.forms import KnownForm
from inspections.engineering.groove.round import RoundGroove
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.groove.undercut import UndercutGroove
from inspections.engineering.groove.vee import VGroove
from inspections.engineering.groove_window.given import WindowGiven


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One way to cut the grooves.

    Parameters
    ----------
    form : the form
    groove_angle_deg : γ, of a V; else of the mouth [deg]
    undercut_angle_deg : β [deg]; 0 where the form has none
    cut_depth_mm : below the deepest seat there is [mm], >= 0

    Raises nothing.

    Source: own definition.

    >>> Cut(form=KnownForm.ROUND, groove_angle_deg=30.0, undercut_angle_deg=0.0,
    ...     cut_depth_mm=1.6).cut_depth_mm
    1.6
    """

    form: KnownForm
    groove_angle_deg: float
    undercut_angle_deg: float
    cut_depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The values that a window is looked for at.

    Parameters
    ----------
    mouth_angles_deg : γ of round and undercut grooves [deg]
    undercut_angles_deg : β of undercut grooves [deg]
    vee_angles_deg : γ of V grooves [deg]
    cut_depths_mm : below the deepest seat [mm]

    Raises nothing.

    Source: own definition.

    >>> usual_grid().number
    2156
    """

    mouth_angles_deg: tuple[float, ...]
    undercut_angles_deg: tuple[float, ...]
    vee_angles_deg: tuple[float, ...]
    cut_depths_mm: tuple[float, ...]

    @property
    def number(self) -> int:
        """How many cuts there are [-]."""
        mouths = len(self.mouth_angles_deg)
        turned = mouths * (1 + len(self.undercut_angles_deg))
        return (turned + len(self.vee_angles_deg)) * len(self.cut_depths_mm)

    def shapes(self) -> Iterator[Cut]:
        """Yield each form with its angles once, at the least depth."""
        depth_mm = self.cut_depths_mm[0]
        for angle in self.vee_angles_deg:
            yield _cut(KnownForm.V, angle, 0.0, depth_mm)
        for mouth in self.mouth_angles_deg:
            yield _cut(KnownForm.ROUND, mouth, 0.0, depth_mm)
        for undercut in self.undercut_angles_deg:
            for mouth in self.mouth_angles_deg:
                yield _cut(KnownForm.UNDERCUT, mouth, undercut, depth_mm)


def _cut(form: KnownForm, angle: float, undercut: float, depth_mm: float) -> Cut:
    return Cut(
        form=form,
        groove_angle_deg=angle,
        undercut_angle_deg=undercut,
        cut_depth_mm=depth_mm,
    )


def usual_grid() -> Grid:
    """Return some two thousand cuts over what is turned in practice.

    Raises nothing.

    Source: mouths from 25° and V from 35° by EN 81-50:2014 5.11.2.2.1 (from memory),
    undercuts up to 106°; the steps are a choice of this program.

    >>> usual_grid().undercut_angles_deg[0], usual_grid().undercut_angles_deg[-1]
    (50.0, 106.0)
    """
    return Grid(
        mouth_angles_deg=(25.0, 30.0, 35.0, 40.0, 45.0, 50.0),
        undercut_angles_deg=tuple(50.0 + 2.0 * step for step in range(29)),
        vee_angles_deg=tuple(35.0 + step for step in range(16)),
        cut_depths_mm=tuple(1.0 + 0.5 * step for step in range(11)),
    )


def groove_of(*, given: WindowGiven, cut: Cut) -> TurnedGroove:
    """Return the groove that a cut makes.

    Parameters
    ----------
    given : with the seat's radius, clearances and hardening [mm]
    cut : form and angles [deg]

    Raises OutsideValidity where no such groove can be.

    Source: the forms of EN 81-50:2014 5.11.2.2.1.

    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> given = WindowGiven(suspension=EXAMPLE_MACHINE, rules=EN_81_50, margin=0.0,
    ...     deepest_mm=0.0, seat_radius_mm=6.9, bottom_clearance_mm=4.0)
    >>> groove_of(given=given, cut=Cut(form=KnownForm.ROUND, groove_angle_deg=30.0,
    ...     undercut_angle_deg=0.0, cut_depth_mm=0.0)).seat_radius_mm
    6.9
    """
    angle_rad = radians(cut.groove_angle_deg)
    if cut.form is KnownForm.V:
        return VGroove(
            groove_angle_rad=angle_rad,
            bottom_width_mm=given.vee_bottom_width_mm,
            slot_depth_mm=given.vee_slot_depth_mm,
            hardened_depth_mm=given.hardened_depth_mm,
        )
    if cut.form is KnownForm.ROUND:
        return RoundGroove(
            seat_radius_mm=given.seat_radius_mm,
            mouth_angle_rad=angle_rad,
            hardened_depth_mm=given.hardened_depth_mm,
        )
    return UndercutGroove(
        seat_radius_mm=given.seat_radius_mm,
        mouth_angle_rad=angle_rad,
        undercut_angle_rad=radians(cut.undercut_angle_deg),
        bottom_clearance_mm=given.bottom_clearance_mm,
        hardened_depth_mm=given.hardened_depth_mm,
    )
