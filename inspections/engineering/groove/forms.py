"""The forms of groove that the program knows, one row each."""

from collections.abc import Mapping
from enum import StrEnum

from inspections.engineering.groove.round import RoundGroove
from inspections.engineering.groove.shape import TurnedGroove
from inspections.engineering.groove.undercut import UndercutGroove
from inspections.engineering.groove.vee import VGroove
from inspections.engineering.validity import require_not_negative


class KnownForm(StrEnum):
    """The forms there are: the name is the register's code, the value its word."""

    ROUND = "round"
    V = "V"
    UNDERCUT = "undercut"


FORMS: Mapping[KnownForm, type[TurnedGroove]] = {
    KnownForm.V: VGroove,
    KnownForm.UNDERCUT: UndercutGroove,
    KnownForm.ROUND: RoundGroove,
}
BY_CODE: Mapping[str, type[TurnedGroove]] = {form.name: FORMS[form] for form in FORMS}


def hardened_at(*, groove: TurnedGroove, seat_depth_mm: float) -> bool:
    """Return whether the rope still runs on hardened metal.

    Parameters
    ----------
    groove : the groove as turned, with the depth of its hardening [mm]
    seat_depth_mm : s, how far the seat has sunk [mm], >= 0

    Raises OutsideValidity for a negative or unknown depth.

    Source: derived; a hardened groove worn or cut through its layer counts as
    not hardened (EN 81-50:2014 5.11.2.2.1 tells the two apart, from memory).

    >>> vee = VGroove(groove_angle_rad=0.6632, hardened_depth_mm=1.5)
    >>> hardened_at(groove=vee, seat_depth_mm=1.0)
    True
    >>> hardened_at(groove=vee, seat_depth_mm=1.5)
    False
    """
    require_not_negative(seat_depth_mm=seat_depth_mm)
    return seat_depth_mm < groove.hardened_depth_mm


def codes_measured_by(*, kind: str) -> tuple[str, ...]:
    """Return the register's codes of the forms that a kind of reading is taken on.

    Parameters
    ----------
    kind : code of a kind that only some forms have

    Raises nothing.

    Source: own definition.

    >>> codes_measured_by(kind="slot_width")
    ('UNDERCUT',)
    """
    return tuple(code for code, shape in BY_CODE.items() if kind in shape.measured_by)
