"""Japan MLIT Notice 283 (2008), by a summary of wire-rope criteria of 26 Dec 2014."""

import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.discard import Distribution, Observation, Rouge
from inspections.engineering.discard.observation import OuterStrand
from inspections.engineering.source import Certainty
from inspections.engineering.verdict import Outcome
from tests.published.printed import Printed

JAPAN = criteria.find(code="MLIT_283")

FLATS = [
    (8, 2.8, 3.2, 2.6),
    (10, 3.6, 4.0, 3.3),
    (12, 4.2, 4.8, 4.0),
    (14, 4.9, 5.6, 4.4),
    (16, 5.6, 6.3, 5.4),
    (18, 6.3, 7.2, 6.2),
    (20, 7.1, 8.1, 6.5),
]
PRINTED = Printed(
    source="MLIT Notice 283:2008, as a summary of wire-rope criteria of 26 Dec 2014 "
    "quotes it",
    status=Certainty.SECOND_HAND,
    transcribed={
        "crown flat [mm]": [flat for _, *row in FLATS for flat in row],
        "share of the unworn diameter [%]": [92, 90, 94],
        "broken wires": [24, 32, 12, 16, 9, 2],
    },
)


def _breaks(**seen):
    verdicts = discard.judge_breaks(
        observation=Observation(nominal_diameter_mm=12.0, **seen), criteria_set=JAPAN
    )
    return {each.criterion for each in verdicts if each.outcome is Outcome.MET}


@pytest.mark.parametrize(("nominal_mm", "seale", "warrington", "filler"), FLATS)
def test_matches_crown_flats(nominal_mm, seale, warrington, filler):
    found = [
        criteria.lookup(criteria_set=JAPAN, key=key, nominal_mm=nominal_mm).value
        for key in OuterStrand
    ]

    assert found == [seale, warrington, filler]


@pytest.mark.parametrize(
    ("diameter_mm", "watch", "limit"),
    [(11.05, "not met", "not met"), (11.0, "met", "not met"), (10.7, "met", "met")],
)
def test_92_percent_is_watched_and_90_percent_is_replaced(diameter_mm, watch, limit):
    seen = Observation(
        nominal_diameter_mm=12.0,
        diameters_mm=(diameter_mm, diameter_mm),
        unworn_diameter_mm=12.0,
        rouge=Rouge.NONE,
    )

    verdicts = discard.judge_diameter(observation=seen, criteria_set=JAPAN)

    found = {each.criterion: each.outcome for each in verdicts}
    assert found["diameter_reduction_unworn_watch"] == watch
    assert found["diameter_reduction_unworn"] == limit


def test_with_rouge_94_percent_is_replaced():
    seen = Observation(
        nominal_diameter_mm=12.0,
        diameters_mm=(11.2, 11.3),
        unworn_diameter_mm=12.0,
        rouge=Rouge.TRACE,
    )

    verdicts = discard.judge_diameter(observation=seen, criteria_set=JAPAN)

    assert [each.criterion for each in verdicts if each.outcome is Outcome.MET] == [
        "diameter_reduction_rouge"
    ]


@pytest.mark.parametrize(
    ("strands", "total", "met"),
    [(6, 24, False), (6, 25, True), (8, 32, False), (8, 33, True)],
)
def test_total_of_evenly_spread_breaks(strands, total, met):
    found = _breaks(strands=strands, breaks_total=total, distribution=Distribution.EVEN)

    assert (f"breaks_even/{strands}" in found) is met


@pytest.mark.parametrize(
    ("strands", "total", "met"),
    [(6, 12, False), (6, 13, True), (8, 16, False), (8, 17, True)],
)
def test_total_of_concentrated_breaks(strands, total, met):
    found = _breaks(
        strands=strands,
        breaks_total=total,
        breaks_worst_strand=8,
        distribution=Distribution.PREDOMINANT,
    )

    assert (f"breaks_predominant/{strands}" in found) is met


def test_ten_in_one_strand_and_three_with_rouge():
    concentrated = _breaks(strands=8, breaks_total=12, breaks_worst_strand=10)
    rouge = _breaks(strands=8, breaks_total=3, breaks_worst_strand=3, rouge=Rouge.TRACE)

    assert "breaks_in_one_strand" in concentrated
    assert "breaks_in_one_strand_rouge" in rouge


def test_heavy_rouge_condemns_by_itself():
    heavy = Observation(nominal_diameter_mm=12.0, rouge=Rouge.HEAVY)

    verdict = discard.judge_rouge(observation=heavy, criteria_set=JAPAN)

    assert verdict.outcome is Outcome.MET
