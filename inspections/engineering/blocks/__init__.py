"""What is refused outright, each with the reason in words: block, not warn."""

from dataclasses import fields

from inspections.engineering.blocks.facts import (
    Block,
    Blocked,
    BlockFacts,
    SuspensionMeans,
)
from inspections.engineering.blocks.machine import on_groove, on_machine
from inspections.engineering.blocks.work import on_readings, on_work
from inspections.engineering.criteria import CriteriaSet

__all__ = ["Block", "BlockFacts", "Blocked", "SuspensionMeans", "find", "not_seen"]


def find(*, facts: BlockFacts, criteria_set: CriteriaSet) -> tuple[Block, ...]:
    """Return everything that is blocked, with its reason; nothing is only warned of.

    Parameters
    ----------
    facts : what the register and the visit say
    criteria_set : for the least number of ropes, D/d and the greatest undercut angle

    Raises nothing; the facts have checked their values.

    Source: EN 81-50:2014, 5.11.2.2.1 (106 degrees, confirmed); 34 Pa. Code 7.56
    (three ropes, D/d 40, confirmed); Cal. Code Regs. title 8, 3085.21(h) (renew the
    whole set, confirmed); the rest is the range of the method or common practice.

    >>> from inspections.engineering import criteria
    >>> [each.code for each in find(facts=BlockFacts(ropes=2),
    ...                             criteria_set=criteria.find(code="ASME_A17_1"))]
    ['too-few-ropes']
    """
    return (
        *on_machine(facts=facts, criteria_set=criteria_set),
        *on_groove(facts=facts, criteria_set=criteria_set),
        *on_work(facts=facts),
        *on_readings(facts=facts),
    )


def not_seen(*, facts: BlockFacts) -> tuple[str, ...]:
    """Return the facts that are not known, so that "no block" is not read as "fine".

    Parameters
    ----------
    facts : what the register and the visit say

    Raises nothing.

    Source: own rule: not seen is never passed.

    >>> not_seen(facts=BlockFacts(ropes=5))[0]
    'undercut_angle_rad'
    """
    return tuple(
        field.name for field in fields(facts) if getattr(facts, field.name) is None
    )
