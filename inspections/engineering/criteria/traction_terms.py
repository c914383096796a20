"""The traction rules of each family of codes."""

from dataclasses import replace

from inspections.engineering.source import Source
from inspections.engineering.traction import rules as printed
from inspections.engineering.traction.rules import TractionRules

EN_81_50 = printed.EN_81_50
EN_81_1_1985 = printed.EN_81_1_1985

GB_7588 = replace(
    printed.EN_81_50,
    method="GB 7588 annex M",
    source="GB 7588-2003 annex M, the same mathematics as EN 81-1:1998",
)

# A family that prints no friction factor: the calculation is information only.
BORROWED = replace(
    printed.EN_81_50,
    method="EN 81-50, borrowed",
    source="EN 81-50:2014 5.11.2, borrowed: the family prints no friction factor",
    borrowed=True,
)


def traction_source(*, rules: TractionRules) -> Source:
    """Return the source of traction rules in the form that limits carry.

    Parameters
    ----------
    rules : the traction part of a set

    Raises nothing.

    Source: own bookkeeping.

    >>> traction_source(rules=EN_81_50).certainty
    <Certainty.FROM_MEMORY: 'from memory, to be confirmed'>
    """
    return Source(document=rules.source, certainty=rules.status)
