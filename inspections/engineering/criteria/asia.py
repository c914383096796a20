"""Sets of China and Japan, and the crane standard kept for comparison."""

from dataclasses import replace

from inspections.engineering.criteria.america import WAC_296_155
from inspections.engineering.criteria.catalogue import by_nominal, by_strands, row
from inspections.engineering.criteria.criteria_set import DiameterRule, Family
from inspections.engineering.criteria.europe import (
    EN_81_20,
    ISO_4344_DISCARD,
    MACHINE,
)
from inspections.engineering.criteria.practice import SERVICE
from inspections.engineering.criteria.traction_terms import BORROWED, GB_7588
from inspections.engineering.limit import Bound
from inspections.engineering.source import Certainty, Source

_TSG = Source(document="TSG T7001", certainty=Certainty.FROM_MEMORY)
_GB_31821 = Source(
    document="GB/T 31821", edition="2015", certainty=Certainty.FROM_MEMORY
)
_MLIT = Source(
    document="MLIT Notice 283",
    edition="2008",
    clause="as a summary of wire-rope criteria of 26 Dec 2014 quotes it",
    certainty=Certainty.SECOND_HAND,
)
_GB_ACCEPTANCE = Source(
    document="Chinese acceptance practice", certainty=Certainty.FROM_MEMORY
)
_JAPAN_HOIST = Source(
    document="Japanese industrial elevator structure standard",
    clause="art. 40",
    certainty=Certainty.CONFIRMED,
)
_CRANES = Source(document="ISO 4309", edition="2010", certainty=Certainty.FROM_MEMORY)

TSG_T7001 = replace(
    EN_81_20,
    code="TSG_T7001",
    title="GB 7588 with the discard figures of TSG T7001",
    family=Family.GB,
    installed_from=None,
    traction=GB_7588,
    source=_TSG,
    limits=(
        *MACHINE,
        row(key="breaks_in_one_strand_even", value=4.0, source=_TSG),
        *by_strands(key="breaks_predominant", values={6: 12, 8: 16}, source=_TSG),
        row(
            key="diameter_reduction_nominal",
            value=10.0,
            source=_TSG,
            note="below 90 % of nominal",
        ),
        row(key="tension_deviation", value=5.0, source=_GB_ACCEPTANCE),
        *SERVICE,
    ),
)

GB_T_31821 = replace(
    TSG_T7001,
    code="GB_T_31821",
    title="GB 7588 with the discard figures of GB/T 31821-2015",
    source=_GB_31821,
    limits=(
        *MACHINE,
        *(
            replace(each, source=_GB_31821)
            for each in ISO_4344_DISCARD
            if each.key in ("breaks_even", "breaks_in_two_strands", "breaks_adjacent")
            or each.key == "breaks_valley"
        ),
        row(
            key="diameter_reduction_nominal",
            value=10.0,
            source=_TSG,
            note="below 90 % of nominal",
        ),
        row(key="tension_deviation", value=5.0, source=_GB_ACCEPTANCE),
        *SERVICE,
    ),
)

_FLAT_NOMINALS_MM = (8, 10, 12, 14, 16, 18, 20)
_FLATS_MM = {
    "crown_flat_seale": (2.8, 3.6, 4.2, 4.9, 5.6, 6.3, 7.1),
    "crown_flat_warrington": (3.2, 4.0, 4.8, 5.6, 6.3, 7.2, 8.1),
    "crown_flat_filler": (2.6, 3.3, 4.0, 4.4, 5.4, 6.2, 6.5),
}

MLIT_283 = replace(
    EN_81_20,
    code="MLIT_283",
    title="Japan MLIT Notice 283 (2008) / JIS A 4302",
    family=Family.JAPAN,
    installed_from=None,
    traction=BORROWED,
    source=_MLIT,
    limits=(
        row(key="ropes_least", value=3.0, source=_JAPAN_HOIST),
        row(key="rope_diameter_least", value=10.0, source=_JAPAN_HOIST),
        row(
            key="diameter_reduction_unworn_watch",
            value=8.0,
            source=_MLIT,
            note="below 92 % of the unworn part",
        ),
        row(
            key="diameter_reduction_unworn",
            value=10.0,
            source=_MLIT,
            note="below 90 % of the unworn part",
        ),
        row(
            key="diameter_reduction_rouge",
            value=6.0,
            source=_MLIT,
            note="below 94 % of the unworn part",
        ),
        row(key="breaks_in_one_strand_even", value=4.0, source=_MLIT),
        *by_strands(key="breaks_even", values={6: 24, 8: 32}, source=_MLIT),
        *by_strands(key="breaks_predominant", values={6: 12, 8: 16}, source=_MLIT),
        row(key="breaks_in_one_strand", value=9.0, source=_MLIT),
        row(key="breaks_in_one_strand_worn", value=2.0, source=_MLIT),
        row(key="breaks_in_one_strand_rouge", value=2.0, source=_MLIT),
        row(
            key="rouge_most",
            value=1.0,
            source=_MLIT,
            note="powder so heavy that wires cannot be seen, or many pits",
        ),
        *(
            each
            for key, flats in _FLATS_MM.items()
            for each in by_nominal(
                key=key,
                values=zip(_FLAT_NOMINALS_MM, flats, strict=True),
                source=_MLIT,
            )
        ),
        *SERVICE,
    ),
)

JAPAN_HOIST = replace(
    MLIT_283,
    code="JAPAN_HOIST_40",
    title="Japanese industrial elevator structure standard, art. 40",
    family=Family.HOIST,
    source=_JAPAN_HOIST,
    limits=(
        row(key="ropes_least", value=3.0, source=_JAPAN_HOIST),
        row(key="rope_diameter_least", value=10.0, source=_JAPAN_HOIST),
        row(
            key="breaks_share_of_lay",
            value=10.0,
            source=_JAPAN_HOIST,
            bound=Bound.BELOW,
        ),
        row(key="diameter_reduction_nominal", value=7.0, source=_JAPAN_HOIST),
        *SERVICE,
    ),
)

ISO_4309 = replace(
    WAC_296_155,
    code="ISO_4309",
    title="ISO 4309, cranes (comparison only)",
    diameter_rule=DiameterRule.SMALLER,
    source=_CRANES,
    limits=(
        row(
            key="diameter_reduction_unworn",
            value=7.5,
            source=_CRANES,
            note="steel core; 10 % with a single-layer fibre core, 5 % if rotation "
            "resistant; against the reference diameter",
        ),
        *SERVICE,
    ),
)
