"""WAC 296-155-77105(r) and (u), personnel hoists."""

import pytest

from inspections.engineering import criteria, discard, rope
from inspections.engineering.discard import Observation
from inspections.engineering.verdict import Outcome
from tests.published.printed import Printed

_M_S = 0.3048 / 60.0

FACTORS = {
    50: 7.60, 75: 7.75, 100: 7.95, 125: 8.10, 150: 8.25, 175: 8.40, 200: 8.60,
    225: 8.75, 250: 8.90, 300: 9.20, 350: 9.50, 400: 9.75, 450: 10.00, 500: 10.25,
    550: 10.45, 600: 10.70,
}  # fmt: skip
# Nominal diameter and its greatest loss in inches.
LOSSES_IN = [
    (3 / 8, 3 / 64),
    (3 / 4, 3 / 64),
    (7 / 8, 1 / 16),
    (9 / 8, 1 / 16),
    (1.5, 3 / 32),
]
PRINTED = Printed(
    source="WAC 296-155-77105, (r) and (u)",
    transcribed={
        "safety factor": list(FACTORS.values()),
        "loss of diameter [in]": [3 / 64, 1 / 16, 3 / 32],
        "broken wires": [6, 3],
        "wear of outer wires": [1 / 3],
    },
)


@pytest.mark.parametrize(("speed_ft_min", "factor"), FACTORS.items())
def test_matches_factor(speed_ft_min, factor):
    found = rope.required_a17(rope_speed_m_s=speed_ft_min * _M_S)

    assert found.required == pytest.approx(factor)


@pytest.mark.parametrize(
    ("total", "in_one_strand", "outcome"),
    [(6, 2, Outcome.MET), (3, 3, Outcome.MET), (5, 2, Outcome.NOT_MET)],
)
def test_six_breaks_in_a_lay_or_three_in_a_strand_condemn(
    total, in_one_strand, outcome
):
    seen = Observation(
        nominal_diameter_mm=12.7, breaks_total=total, breaks_worst_strand=in_one_strand
    )

    verdicts = discard.judge_breaks(
        observation=seen, criteria_set=criteria.find(code="WAC_296_155")
    )

    met = any(each.outcome is Outcome.MET for each in verdicts)
    assert met is (outcome is Outcome.MET)


@pytest.mark.parametrize(("nominal_in", "loss_in"), LOSSES_IN)
def test_matches_loss_of_diameter(nominal_in, loss_in):
    limit = criteria.lookup(
        criteria_set=criteria.find(code="WAC_296_155"),
        key="diameter_loss_most",
        nominal_mm=nominal_in * 25.4,
    )

    assert limit.value == pytest.approx(loss_in * 25.4)


def test_one_third_of_an_outer_wire_condemns():
    worn = Observation(nominal_diameter_mm=12.7, outer_wire_wear_ratio=0.3334)

    verdict = discard.judge_outer_wires(
        observation=worn, criteria_set=criteria.find(code="WAC_296_155")
    )

    assert verdict.outcome is Outcome.MET
