"""Sets of the ASME A17 family and American hoist rules."""

from dataclasses import replace

from inspections.engineering.criteria.catalogue import by_nominal, by_strands, row
from inspections.engineering.criteria.criteria_set import (
    CriteriaSet,
    DiameterRule,
    Family,
)
from inspections.engineering.criteria.practice import SERVICE
from inspections.engineering.criteria.traction_terms import BORROWED
from inspections.engineering.limit import Bound, Limit
from inspections.engineering.source import Certainty, Source
from inspections.reasons import Code, because

_INCH_MM = 25.4

_A17_1 = Source(
    document="ASME A17.1/A17.2",
    clause="8.11.2.1.3(cc), editions before A17.6",
    certainty=Certainty.FROM_MEMORY,
)
_PENNSYLVANIA = Source(
    document="34 Pa. Code", clause="7.56(a) and (f)", certainty=Certainty.CONFIRMED
)
_CALIFORNIA = Source(
    document="Cal. Code Regs. title 8", clause="3042", certainty=Certainty.CONFIRMED
)
_A17_6 = Source(
    document="ASME A17.6",
    edition="2010",
    clause="1.10, as a presentation of the TSSA in Ontario, 26 Feb 2016, quotes it",
    certainty=Certainty.SECOND_HAND,
)
_WASHINGTON = Source(
    document="WAC 296-155-77105", clause="(u)", certainty=Certainty.CONFIRMED
)
_MINES = Source(document="30 CFR 56.19024", certainty=Certainty.CONFIRMED)

_MACHINE: tuple[Limit, ...] = (
    row(key="ropes_least", value=3.0, source=_PENNSYLVANIA),
    row(
        key="rope_diameter_least",
        value=9.5,
        source=_CALIFORNIA,
        note="3/8 inch; older codes ask for 1/2 inch",
    ),
    row(key="diameter_ratio_least", value=40.0, source=_PENNSYLVANIA),
)

# Nominal and least diameter in inches.
_LEAST_DIAMETER_IN = (
    (3 / 8, 11 / 32),
    (7 / 16, 13 / 32),
    (1 / 2, 15 / 32),
    (9 / 16, 17 / 32),
    (5 / 8, 37 / 64),
    (11 / 16, 41 / 64),
    (3 / 4, 45 / 64),
    (1.0, 15 / 16),
)

ASME_A17_1 = CriteriaSet(
    code="ASME_A17_1",
    title="ASME A17.1/A17.2 before A17.6",
    family=Family.A17,
    installed_from=None,
    installed_before=None,
    diameter_rule=DiameterRule.LARGER,
    traction=BORROWED,
    source=_A17_1,
    limits=(
        *_MACHINE,
        *by_strands(key="breaks_even", values={6: 24, 8: 32}, source=_A17_1),
        *by_strands(key="breaks_even_monthly", values={6: 30, 8: 40}, source=_A17_1),
        *by_strands(key="breaks_predominant", values={6: 8, 8: 10}, source=_A17_1),
        *by_strands(
            key="breaks_predominant_monthly", values={6: 12, 8: 16}, source=_A17_1
        ),
        row(
            key="breaks_unfavourable_factor",
            value=0.5,
            source=_A17_1,
            note="rouge, heavy wear of single wires, unequal tension, poor grooves",
        ),
        row(key="breaks_valley", value=1.0, source=_A17_1),
        *by_nominal(
            key="diameter_least",
            values=(
                (d * _INCH_MM, least * _INCH_MM) for d, least in _LEAST_DIAMETER_IN
            ),
            source=_A17_1,
        ),
        # The group of broken wires across the crown of one strand; four make it.
        *by_strands(key="breaks_crown_group", values={6: 12, 8: 16}, source=_A17_1),
        *by_strands(
            key="breaks_crown_group_monthly", values={6: 20, 8: 24}, source=_A17_1
        ),
        *SERVICE,
    ),
)

_TO_BE_ENTERED = because(Code.A17_6_TO_BE_ENTERED)

ASME_A17_6 = replace(
    ASME_A17_1,
    code="ASME_A17_6",
    title="ASME A17.6-2010, 1.10 (tables to be entered by the user)",
    source=_A17_6,
    limits=(
        *_MACHINE,
        *(
            row(key=key, value=None, source=_A17_6, gap=_TO_BE_ENTERED)
            for key in (
                "breaks_even",
                "breaks_predominant",
                "breaks_crown_group",
                "breaks_valley",
                "diameter_least",
                "diameter_least_rouge",
            )
        ),
        *SERVICE,
    ),
)

_SMALL = (3 / 8, 7 / 16, 1 / 2, 9 / 16, 5 / 8, 11 / 16, 3 / 4)
_MIDDLE = (7 / 8, 1.0, 9 / 8)
_LARGE = (5 / 4, 11 / 8, 3 / 2)

WAC_296_155 = replace(
    ASME_A17_1,
    code="WAC_296_155",
    title="WAC 296-155-77105(u), personnel hoists (comparison only)",
    family=Family.HOIST,
    diameter_rule=DiameterRule.SMALLER,
    source=_WASHINGTON,
    limits=(
        row(key="breaks_even", value=6.0, source=_WASHINGTON, bound=Bound.BELOW),
        row(
            key="breaks_in_one_strand",
            value=3.0,
            source=_WASHINGTON,
            bound=Bound.BELOW,
        ),
        row(
            key="outer_wire_wear",
            value=100 / 3,
            source=_WASHINGTON,
            bound=Bound.BELOW,
        ),
        *by_nominal(
            key="diameter_loss_most",
            values=(
                *((d * _INCH_MM, 3 / 64 * _INCH_MM) for d in _SMALL),
                *((d * _INCH_MM, 1 / 16 * _INCH_MM) for d in _MIDDLE),
                *((d * _INCH_MM, 3 / 32 * _INCH_MM) for d in _LARGE),
            ),
            source=_WASHINGTON,
        ),
        *SERVICE,
    ),
)

CFR_30_56 = replace(
    WAC_296_155,
    code="CFR_30_56",
    title="30 CFR 56.19024, mine hoists (comparison only)",
    source=_MINES,
    limits=(
        row(key="breaks_share_of_lay", value=5.0, source=_MINES),
        row(key="breaks_share_of_strand", value=15.0, source=_MINES),
        row(key="breaks_valley", value=1.0, source=_MINES, note="regular lay"),
        row(key="outer_wire_wear", value=100 / 3, source=_MINES),
        row(
            key="diameter_reduction_unworn",
            value=6.0,
            source=_MINES,
            note="against the baseline measured after initial stretch",
        ),
        *SERVICE,
    ),
)
