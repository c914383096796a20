"""ISO 4344 / EN 12385-5: discard, tolerances, grades of lift ropes.

Status: 6 % and five adjacent wires confirmed in a rope maker's notes, tolerances
confirmed in a supplier's table; the table of broken wires and the dual grades are from
memory, to be confirmed.
"""

import pytest

from inspections.engineering import criteria, discard, rope
from inspections.engineering.discard import Observation
from inspections.engineering.rope import Construction
from inspections.engineering.source import Certainty
from inspections.engineering.verdict import Outcome

EUROPE = criteria.find(code="EN_81_20")


@pytest.mark.parametrize(
    ("diameter_mm", "outcome"), [(12.23, Outcome.NOT_MET), (12.21, Outcome.MET)]
)
def test_six_percent_of_nominal(diameter_mm, outcome):
    # Confirmed.
    seen = Observation(nominal_diameter_mm=13.0, diameters_mm=(diameter_mm, 13.0))

    (verdict,) = discard.judge_diameter(observation=seen, criteria_set=EUROPE)

    assert verdict.outcome is outcome
    assert verdict.source.certainty is Certainty.CONFIRMED


@pytest.mark.parametrize(("adjacent", "met"), [(4, False), (5, True)])
def test_five_adjacent_wires(adjacent, met):
    # Confirmed.
    seen = Observation(nominal_diameter_mm=13.0, breaks_adjacent=adjacent)

    verdicts = discard.judge_breaks(observation=seen, criteria_set=EUROPE)

    found = next(each for each in verdicts if each.criterion == "breaks_adjacent")
    assert (found.outcome is Outcome.MET) is met


@pytest.mark.parametrize(
    ("strands", "even", "two", "even_watch", "two_watch"),
    [(6, 24, 8, 12, 6), (8, 30, 10, 15, 8), (9, 34, 11, 17, 9)],
)
def test_matches_table_of_broken_wires(strands, even, two, even_watch, two_watch):
    # From memory.
    found = [
        criteria.lookup(criteria_set=EUROPE, key=key, strands=strands)
        for key in (
            "breaks_even",
            "breaks_in_two_strands",
            "breaks_even_watch",
            "breaks_in_two_strands_watch",
        )
    ]

    assert [each.value for each in found] == [even, two, even_watch, two_watch]
    assert {each.source.certainty for each in found} == {Certainty.FROM_MEMORY}


@pytest.mark.parametrize(
    ("diameter_mm", "fibre", "unloaded", "at_5", "at_10"),
    [
        (10, True, 6, 1, 0),
        (10, False, 3, 0, -1),
        (13, True, 5, 1, 0),
        (13, False, 2, 0, -1),
    ],
)
def test_matches_diameter_tolerance(diameter_mm, fibre, unloaded, at_5, at_10):
    # Confirmed.
    found = rope.new_diameter_tolerance(rope_diameter_mm=diameter_mm, fibre_core=fibre)

    assert found.unloaded_percent == unloaded
    assert found.at_5_percent_load_percent == at_5
    assert found.at_10_percent_load_percent == at_10


@pytest.mark.parametrize(
    ("outer", "inner", "grade", "by_area"),
    [
        (1180, 1770, 1370, 1377),
        (1320, 1620, 1410, 1420),
        (1370, 1770, 1500, 1503),
        (1570, 1770, 1640, 1637),
    ],
)
def test_dual_grades_lie_where_two_thirds_outer_area_puts_them(
    outer, inner, grade, by_area
):
    # From memory, supported by a split of the area (derived).
    found = rope.grade_mpa(outer_mpa=outer, inner_mpa=inner)

    assert found == grade
    assert (2 * outer + inner) / 3 == pytest.approx(by_area, abs=0.5)
    assert found == pytest.approx(by_area, rel=0.01)


@pytest.mark.parametrize(
    ("construction", "diameter_mm", "grade_mpa", "force_kn"),
    [
        (Construction.EIGHT_FIBRE, 8, 1370, 25.7),
        (Construction.EIGHT_FIBRE, 8, 1500, 28.1),
        (Construction.EIGHT_FIBRE, 8, 1570, 29.4),
        (Construction.EIGHT_FIBRE, 8, 1770, 33.2),
    ],
)
def test_matches_remembered_row_of_8_mm(construction, diameter_mm, grade_mpa, force_kn):
    # From memory.
    found = rope.properties(
        construction=construction, rope_diameter_mm=diameter_mm, grade_mpa=grade_mpa
    )

    assert found.breaking_force_n / 1000.0 == pytest.approx(force_kn, abs=0.06)
