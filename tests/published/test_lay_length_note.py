"""Technical note with excerpts of ASME A17.1b-2009: lay length 6.5 d, valley breaks.

Status: confirmed.
"""

import pytest

from inspections.engineering import criteria, discard


@pytest.mark.parametrize(
    ("diameter_mm", "lay_mm", "lay_in"),
    [(9.5, 62, 2.44), (12.7, 83, 3.25), (15.9, 103, 4.06)],
)
def test_matches_printed_lay_length(diameter_mm, lay_mm, lay_in):
    found = discard.usual_lay_length_mm(nominal_diameter_mm=diameter_mm)

    assert round(found) == lay_mm
    assert found / 25.4 == pytest.approx(lay_in, abs=0.015)


@pytest.mark.parametrize(
    ("key", "strands", "value"),
    [
        ("breaks_even", 6, 24),
        ("breaks_even_monthly", 6, 30),
        ("breaks_even", 8, 32),
        ("breaks_even_monthly", 8, 40),
        ("breaks_predominant", 6, 8),
        ("breaks_predominant_monthly", 6, 12),
        ("breaks_predominant", 8, 10),
        ("breaks_predominant_monthly", 8, 16),
        ("breaks_crown_group", 6, 12),
        ("breaks_crown_group_monthly", 6, 20),
        ("breaks_crown_group", 8, 16),
        ("breaks_crown_group_monthly", 8, 24),
        ("breaks_valley", None, 1),
    ],
)
def test_matches_broken_wires(key, strands, value):
    # Structure and valley breaks confirmed, the numbers by strands from memory.
    american = criteria.find(code="ASME_A17_1")

    found = criteria.lookup(criteria_set=american, key=key, strands=strands)

    assert found.value == value


@pytest.mark.parametrize(
    ("nominal_in", "least_in", "loss_percent"),
    [
        (3 / 8, 11 / 32, 8.3),
        (7 / 16, 13 / 32, 7.1),
        (1 / 2, 15 / 32, 6.3),
        (9 / 16, 17 / 32, 5.6),
        (5 / 8, 37 / 64, 7.5),
        (11 / 16, 41 / 64, 6.8),
        (3 / 4, 45 / 64, 6.3),
        (1.0, 15 / 16, 6.3),
    ],
)
def test_matches_least_diameter(nominal_in, least_in, loss_percent):
    # From memory, to be confirmed.
    american = criteria.find(code="ASME_A17_1")

    found = criteria.lookup(
        criteria_set=american, key="diameter_least", nominal_mm=nominal_in * 25.4
    )

    assert found.value == pytest.approx(least_in * 25.4)
    assert 100 * (1 - least_in / nominal_in) == pytest.approx(loss_percent, abs=0.06)
