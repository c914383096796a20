"""Blocks that lie in the machine and its grooves."""

from math import degrees

from inspections.engineering.blocks.facts import (
    Block,
    Blocked,
    BlockFacts,
    SuspensionMeans,
)
from inspections.engineering.criteria import CriteriaSet, lookup
from inspections.engineering.limit import is_passed
from inspections.engineering.validity import require_finite
from inspections.reasons import Code, Term, because

_NAMED = {
    SuspensionMeans.STEEL_ROPE: Term.STEEL_ROPE,
    SuspensionMeans.COATED_ROPE: Term.COATED_ROPE,
    SuspensionMeans.SYNTHETIC_ROPE: Term.SYNTHETIC_ROPE,
    SuspensionMeans.BELT: Term.BELT,
}


def on_machine(*, facts: BlockFacts, criteria_set: CriteriaSet) -> tuple[Block, ...]:
    """Return what blocks an assessment: ropes, roping, masses.

    Parameters
    ----------
    facts : what the register and the visit say
    criteria_set : for the least number of ropes and the range of roping

    Raises nothing; the facts have checked their values.

    Source: range of the method; 34 Pa. Code 7.56(a): three ropes (confirmed).

    >>> from inspections.engineering import criteria
    >>> on_machine(facts=BlockFacts(roping_ratio=4),
    ...            criteria_set=criteria.find(code="EN_81_20"))[0].code
    'roping-above-2-to-1'
    """
    found = _on_kind(facts)
    if _passes(criteria_set, "roping_most", float(facts.roping_ratio)):
        found.append(
            Block(
                code="roping-above-2-to-1",
                what=Blocked.TRACTION,
                reason=because(Code.ROPING_ABOVE_2_TO_1, roping=facts.roping_ratio),
            )
        )
    if facts.missing_masses:
        found.append(
            Block(
                code="missing-mass",
                what=Blocked.TRACTION,
                reason=because(Code.MASSES_MISSING, masses=facts.missing_masses),
            )
        )
    if facts.ropes is not None and _passes(
        criteria_set, "ropes_least", float(facts.ropes)
    ):
        found.append(
            Block(
                code="too-few-ropes",
                what=Blocked.ASSESSMENT,
                reason=because(
                    Code.TOO_FEW_ROPES,
                    ropes=facts.ropes,
                    set=criteria_set.code,
                    least=_value(criteria_set, "ropes_least"),
                ),
            )
        )
    return tuple(found)


def _on_kind(facts: BlockFacts) -> list[Block]:
    """Return what blocks because of what the car hangs on and what it runs over."""
    found: list[Block] = []
    if facts.suspension is not SuspensionMeans.STEEL_ROPE:
        found.append(
            Block(
                code="not-a-steel-rope",
                what=Blocked.ASSESSMENT,
                reason=because(
                    Code.NOT_A_STEEL_ROPE, hangs_on=_NAMED[facts.suspension]
                ),
            )
        )
    if facts.lined_grooves:
        found.append(
            Block(
                code="lined-grooves",
                what=Blocked.ASSESSMENT,
                reason=because(Code.LINED_GROOVES),
            )
        )
    return found


def on_groove(*, facts: BlockFacts, criteria_set: CriteriaSet) -> tuple[Block, ...]:
    """Return what blocks a groove as it is, or a cut.

    Parameters
    ----------
    facts : what the register and the visit say
    criteria_set : for D/d and the greatest undercut angle

    Raises nothing; the facts have checked their values.

    Source: EN 81-50:2014, 5.11.2.2.1: 106 degrees (confirmed); 34 Pa. Code 7.56(f):
    D/d 40 (confirmed).

    >>> from inspections.engineering import criteria
    >>> on_groove(facts=BlockFacts(diameter_ratio_after_cut=39.2),
    ...           criteria_set=criteria.find(code="EN_81_20"))[0].what
    <Blocked.CUT: 'cut'>
    """
    found: list[Block] = []
    angle = facts.undercut_angle_rad
    if angle is not None and _passes(
        criteria_set, "undercut_angle_most", round(degrees(angle), 6)
    ):
        found.append(
            Block(
                code="undercut-too-wide",
                what=Blocked.TRACTION,
                reason=because(Code.UNDERCUT_TOO_WIDE, angle=degrees(angle)),
            )
        )
    ratio = facts.diameter_ratio_after_cut
    if ratio is not None and _passes(criteria_set, "diameter_ratio_least", ratio):
        found.append(
            Block(
                code="diameter-ratio-after-cut",
                what=Blocked.CUT,
                reason=because(
                    Code.RATIO_AFTER_CUT, ratio=ratio, set=criteria_set.code
                ),
            )
        )
    if facts.hardened_layer_gone:
        found.append(
            Block(
                code="hardened-layer-gone",
                what=Blocked.CUT,
                reason=because(Code.HARDENED_LAYER_GONE),
            )
        )
    return tuple(found)


def _value(criteria_set: CriteriaSet, key: str) -> float:
    return lookup(criteria_set=criteria_set, key=key).value or 0.0


def _passes(criteria_set: CriteriaSet, key: str, value: float) -> bool:
    limit = lookup(criteria_set=criteria_set, key=key)
    require_finite(**{key: value})
    return bool(is_passed(limit=limit, value=value))
