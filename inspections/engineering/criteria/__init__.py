"""Criteria sets: named, dated bundles of limits that a contractor picks.

A set is never "the law": the authority having jurisdiction and the manufacturer's
data prevail, and a contractor can replace every value by that of the own copy.
"""

from datetime import date

from inspections.engineering.criteria.america import (
    ASME_A17_1,
    ASME_A17_6,
    CFR_30_56,
    WAC_296_155,
)
from inspections.engineering.criteria.asia import (
    GB_T_31821,
    ISO_4309,
    JAPAN_HOIST,
    MLIT_283,
    TSG_T7001,
)
from inspections.engineering.criteria.criteria_set import (
    CriteriaSet,
    DiameterRule,
    Family,
    SetGap,
    gaps,
    lookup,
)
from inspections.engineering.criteria.europe import (
    EN_81_1_1985_SET,
    EN_81_1_1998_SET,
    EN_81_20,
)
from inspections.engineering.criteria.overriding import UnknownLimit, override
from inspections.engineering.criteria.sizes import between_sizes
from inspections.engineering.criteria.standing import FieldTest, traction_standing

__all__ = [
    "ALL",
    "CriteriaSet",
    "DiameterRule",
    "Family",
    "FieldTest",
    "SetGap",
    "UnknownLimit",
    "UnknownSet",
    "between_sizes",
    "find",
    "gaps",
    "lookup",
    "override",
    "suited",
    "traction_standing",
]

ALL: tuple[CriteriaSet, ...] = (
    EN_81_20,
    EN_81_1_1998_SET,
    EN_81_1_1985_SET,
    ASME_A17_1,
    ASME_A17_6,
    TSG_T7001,
    GB_T_31821,
    MLIT_283,
    WAC_296_155,
    CFR_30_56,
    ISO_4309,
    JAPAN_HOIST,
)
_BY_CODE = {each.code: each for each in ALL}


class UnknownSet(KeyError):
    """A code that names no criteria set."""

    def __str__(self) -> str:
        """Return the message without the quotes that KeyError adds."""
        return str(self.args[0])


def find(*, code: str) -> CriteriaSet:
    """Return the criteria set with this code.

    Parameters
    ----------
    code : the code of a set

    Raises UnknownSet, naming the codes there are.

    Source: own bookkeeping; every limit carries its own source.

    >>> find(code="CFR_30_56").comparison_only
    True
    """
    if code not in _BY_CODE:
        raise UnknownSet(f"{code} is no criteria set; there are {', '.join(_BY_CODE)}")
    return _BY_CODE[code]


def suited(*, family: Family, installed_on: date) -> tuple[CriteriaSet, ...]:
    """Return the sets of a family that were in force on a date of installation.

    Parameters
    ----------
    family : the family of codes that holds where the machine stands
    installed_on : the day the machine was put into service

    Raises nothing; the answer is empty before the first edition that is known here.

    Source: dates of EN 81-1 and EN 81-20 from memory; own bookkeeping.

    >>> [each.code for each in suited(family=Family.EN, installed_on=date(1990, 1, 1))]
    ['EN_81_1_1985']
    """
    return tuple(
        each
        for each in ALL
        if each.family is family
        and (each.installed_from is None or each.installed_from <= installed_on)
        and (each.installed_before is None or installed_on < each.installed_before)
    )
