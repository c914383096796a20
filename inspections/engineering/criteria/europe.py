"""Sets of the EN 81 family."""

from dataclasses import replace
from datetime import date

from inspections.engineering.criteria.catalogue import by_strands, row
from inspections.engineering.criteria.criteria_set import (
    CriteriaSet,
    DiameterRule,
    Family,
)
from inspections.engineering.criteria.practice import SERVICE
from inspections.engineering.criteria.traction_terms import EN_81_1_1985, EN_81_50
from inspections.engineering.limit import Bound, Limit
from inspections.engineering.source import Certainty, Source

_ANNEX = Source(
    document="ISO 4344 / EN 12385-5",
    clause="informative annex",
    certainty=Certainty.FROM_MEMORY,
)
_EN_81_20 = Source(
    document="EN 81-20",
    edition="2014",
    clause="5.5.1 and 5.5.2",
    certainty=Certainty.FROM_MEMORY,
)
_TRADE = Source(
    document="GB 7588",
    clause='the same figures as EN 81, as the page "Dianti gangsisheng anquan xishu" '
    "quotes it",
    certainty=Certainty.SECOND_HAND,
)

ISO_4344_DISCARD: tuple[Limit, ...] = (
    row(key="diameter_reduction_nominal", value=6.0, source=_ANNEX),
    row(key="breaks_adjacent", value=4.0, source=_ANNEX, note="five or more"),
    *by_strands(key="breaks_even", values={6: 24, 8: 30, 9: 34}, source=_ANNEX),
    *by_strands(
        key="breaks_in_two_strands", values={6: 8, 8: 10, 9: 11}, source=_ANNEX
    ),
    row(key="breaks_valley", value=1.0, source=_ANNEX),
    *by_strands(key="breaks_even_watch", values={6: 12, 8: 15, 9: 17}, source=_ANNEX),
    *by_strands(
        key="breaks_in_two_strands_watch", values={6: 6, 8: 8, 9: 9}, source=_ANNEX
    ),
    row(key="breaks_adjacent_watch", value=4.0, source=_ANNEX, bound=Bound.BELOW),
    row(key="breaks_valley_watch", value=1.0, source=_ANNEX, bound=Bound.BELOW),
)

MACHINE: tuple[Limit, ...] = (
    row(key="ropes_least", value=2.0, source=_EN_81_20),
    row(key="rope_diameter_least", value=8.0, source=_TRADE),
    row(key="diameter_ratio_least", value=40.0, source=_TRADE),
    row(key="safety_factor_three_ropes", value=12.0, source=_TRADE),
    row(key="safety_factor_two_ropes", value=16.0, source=_TRADE),
)

EN_81_20 = CriteriaSet(
    code="EN_81_20",
    title="EN 81-20 and EN 81-50:2014/2020, ropes by ISO 4344 / EN 12385-5",
    family=Family.EN,
    installed_from=date(2014, 8, 1),
    installed_before=None,
    diameter_rule=DiameterRule.SMALLER,
    traction=EN_81_50,
    source=_EN_81_20,
    limits=MACHINE + ISO_4344_DISCARD + SERVICE,
)

EN_81_1_1998_SET = replace(
    EN_81_20,
    code="EN_81_1_1998",
    title="EN 81-1:1998, ropes by ISO 4344 / EN 12385-5",
    installed_from=date(1998, 1, 1),
    installed_before=date(2017, 9, 1),
    source=Source(
        document="EN 81-1",
        edition="1998",
        clause="9.1, 9.2, annexes M and N",
        certainty=Certainty.FROM_MEMORY,
    ),
)

EN_81_1_1985_SET = replace(
    EN_81_20,
    code="EN_81_1_1985",
    title="EN 81-1:1977/1985, ropes by ISO 4344",
    installed_from=date(1977, 1, 1),
    installed_before=date(1999, 7, 1),
    traction=EN_81_1_1985,
    source=Source(
        document="EN 81-1",
        edition="1985",
        clause="9.2 and 9.3",
        certainty=Certainty.FROM_MEMORY,
    ),
)
