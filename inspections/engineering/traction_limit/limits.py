"""The seat depths at which a machine's traction calculation no longer closes."""

from math import hypot, sqrt

from inspections.engineering.traction.rules import LoadCase, TractionRules
from inspections.engineering.traction_limit.outcome import (
    DepthLimit,
    LimitOutcome,
    LimitReason,
)
from inspections.engineering.traction_limit.search import Found, LimitSearch
from inspections.engineering.traction_limit.spread import (
    ITEMS,
    Circumstances,
    RegisterSpread,
    shifted,
)
from inspections.engineering.validity import OutsideValidity
from inspections.reasons import Code, because

_SIGNS = (-1.0, 1.0)
# An item of the register, and the machine with it shifted down and up.
Moves = list[tuple[str, list[Circumstances | None]]]


def limits_of(
    *,
    circumstances: Circumstances,
    offsets_mm: tuple[float, ...],
    rules: TractionRules,
    spread: RegisterSpread,
) -> tuple[DepthLimit, ...]:
    """Return the limit of every load case, and of the groove's bottom.

    Parameters
    ----------
    circumstances : machine and groove as the register has them
    offsets_mm : of each pass's seat against the deepest [mm], <= 0; one for
        each pass of the wrap
    rules : the code's values
    spread : standard deviations of the register's items, in their own units

    The standard deviation is the root of the sum of squares over the items;
    an item brings the root mean square of the two changes that a shift by one
    standard deviation up and down makes, so that a cliff is not lost.

    Raises OutsideValidity for offsets that do not match the wrap.

    Source: derived. Combination as in the GUM (JCGM 100:2008, 5.1.2).

    >>> from math import radians
    >>> from inspections.engineering.groove import VGroove
    >>> from inspections.engineering.traction.rules import EN_81_50
    >>> from inspections.engineering.example import EXAMPLE_MACHINE
    >>> found = limits_of(circumstances=Circumstances(suspension=EXAMPLE_MACHINE,
    ...     groove=VGroove(groove_angle_rad=radians(38)), rope_diameter_mm=13.0),
    ...     offsets_mm=(0.0,), rules=EN_81_50, spread=RegisterSpread())
    >>> found[2].reason.value, found[2].depth_mm
    ('BRAKING_EMPTY', 2.738)
    """
    passes = len(circumstances.suspension.wrap.angles_rad)
    if len(offsets_mm) != passes:
        raise OutsideValidity(
            name="seat_depths_mm",
            value=len(offsets_mm),
            rule=because(Code.RULE_PASSES, passes=passes),
        )
    search = LimitSearch(rules=rules, offsets_mm=offsets_mm)
    # The same shifts for every case, which share what they ask of the groove.
    moves = [
        (item.name, [_shifted(circumstances, item.name, sign * by) for sign in _SIGNS])
        for item in ITEMS
        if (by := getattr(spread, item.name)) > 0.0
    ]
    limits = [
        _limit(search, circumstances, moves, LimitReason(case.value), case)
        for case in rules.cases
    ]
    limits.append(_limit(search, circumstances, moves, LimitReason.BOTTOMING, None))
    return tuple(limits)


def _shifted(where: Circumstances, item: str, by: float) -> Circumstances | None:
    return shifted(circumstances=where, item=item, by=by)


def _look(search: LimitSearch, where: Circumstances, case: LoadCase | None) -> Found:
    if case is None:
        return search.bottom(circumstances=where)
    return search.depth(circumstances=where, case=case)


def _limit(
    search: LimitSearch,
    circumstances: Circumstances,
    moves: Moves,
    reason: LimitReason,
    case: LoadCase | None,
) -> DepthLimit:
    outcome, depth_mm = _look(search, circumstances, case)
    shares: list[tuple[str, float]] = []
    if depth_mm is not None:
        shares = _shares(search, moves, case, depth_mm)
    return DepthLimit(
        reason=reason,
        outcome=outcome,
        depth_mm=depth_mm,
        sd_mm=None if depth_mm is None else hypot(*(share for _, share in shares)),
        shares=tuple(shares),
        borrowed=search.rules.borrowed and case is not None,
    )


def _shares(
    search: LimitSearch,
    moves: Moves,
    case: LoadCase | None,
    depth_mm: float,
) -> list[tuple[str, float]]:
    """What each item of the register brings, greatest first."""
    shares = []
    for item, both in moves:
        changes = [
            moved - depth_mm
            for where in both
            if where is not None
            for moved in _moved(search, where, case)
        ]
        if any(changes):
            shares.append((item, hypot(*changes) / sqrt(len(changes))))
    return sorted(shares, key=lambda share: -share[1])


def _moved(
    search: LimitSearch, where: Circumstances, case: LoadCase | None
) -> tuple[float, ...]:
    """The depth with one item shifted."""
    outcome, depth_mm = _look(search, where, case)
    if depth_mm is not None:
        return (depth_mm,)
    if outcome is LimitOutcome.DOES_NOT_CLOSE_AS_NEW:
        return (0.0,)
    return (search.end_mm(circumstances=where),)
