"""What the kernel refuses comes through the API as a sentence, never a traceback."""

import pytest

from fleet.models import Machine, RopeSet, SheaveGeometry
from inspections.models import Grade
from tests import callers, factories
from tests.inspections.assessment.visits import assess, latest, send, worn

pytestmark = pytest.mark.django_db


def condition(cast):
    machine = factories.machine(cast.scope())
    answer = callers.call(cast, "GET", f"/api/v1/machines/{machine.pk}/condition")
    assert answer.status_code == 200, answer.content
    callers.confine(cast)
    return answer.json()


GEOMETRY = [
    ({"seat_radius_mm": 3.0}, ""),
    ({"form": "V", "groove_angle_deg": 20.0}, "groove_angle_rad is 0.349066"),
    (
        {"form": "V", "groove_angle_deg": 38.0, "slot_width_mm": 20.0},
        "bottom_width_mm is 20; it must be below",
    ),
    ({"groove_angle_deg": 5.0}, ""),
    ({"pitch_diameter_mm": 10.0}, ""),
]


@pytest.mark.parametrize(("changes", "sentence"), GEOMETRY)
def test_groove_that_cannot_be_is_not_assessed_in_the_kernels_words(
    north, changes, sentence
):
    SheaveGeometry.objects.filter(sheave__machine__code="MH-1").update(**changes)
    send(north, *worn("2.0"))

    assess(north)

    told = latest(north).findings.filter(topic="traction")
    assert condition(north)
    if sentence:
        assert {row.grade for row in told} == {Grade.NOT_ASSESSED}
        assert sentence in str(told[0].reason)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"wrap_angle_deg": 470.0}, "it must be"),
        ({"roping_ratio": 8}, "roping is 8:1"),
        ({"braking_deceleration_m_s2": 12.0}, "acceleration_m_s2 is"),
        ({"counterweight_mass_kg": 1e-9}, ""),
        ({"travel_m": 1e9}, ""),
        ({"rated_speed_m_s": 1e9}, ""),
        ({"compensation_mass_kg_m": 999.0}, ""),
    ],
)
def test_masses_that_cannot_be_are_told_or_judged_but_never_break(
    north, changes, sentence
):
    Machine.objects.filter(code="MH-1").update(**changes)
    send(north, *worn("2.0"))

    assess(north)

    assert condition(north)
    if sentence:
        told = latest(north).findings.filter(topic="traction")
        assert {row.grade for row in told} == {Grade.NOT_ASSESSED}
        assert any(sentence in row.reason for row in told)


@pytest.mark.parametrize(
    "changes",
    [
        {"nominal_diameter_mm": 200.0},
        {"nominal_diameter_mm": 0.5},
        {"outer_grade_mpa": 100},
        {"inner_grade_mpa": 9000},
        {"ropes_count": 1},
        {"modulus_mpa": 1e11},
        {"mass_kg_m": 1e9},
        {"strand_class": "9x19"},
    ],
)
def test_ropes_that_cannot_be_never_break_an_assessment(north, changes):
    RopeSet.objects.filter(machine__code="MH-1").update(**changes)
    send(north, *worn("2.0"))

    assess(north)

    assert condition(north)
    assert latest(north).findings.exists()


@pytest.mark.parametrize(
    "readings",
    [
        [{"kind": "rope_diameter", "rope": 1, "value": "0.001"}],
        [{"kind": "bottom_clearance", "groove": 1, "value": "-900"}],
        [
            {
                "kind": "rope_tension",
                "rope": n,
                "value": "0",
                "unit": "N",
                "place": {"side": "car", "car_position": "top"},
            }
            for n in range(1, 6)
        ],
        [
            {
                "kind": "breaks_total",
                "rope": 1,
                "value": "1",
                "unit": "",
                "place": {"window": "lay"},
            },
            {
                "kind": "breaks_worst_strand",
                "rope": 1,
                "value": "90",
                "unit": "",
                "place": {"window": "lay"},
            },
        ],
        [
            {
                "kind": "rim_thickness",
                "value": "1",
                "place": {"axial_mm": "-400", "mark": "A", "over": "land"},
            },
            {"kind": "groove_bottom_depth", "groove": 1, "value": "900"},
        ],
        [{"kind": "hardness", "value": "1", "unit": "HB"}],
        [{"kind": "travel_speed", "value": "20", "unit": "m/s"}],
    ],
    ids=lambda readings: readings[0]["kind"],
)
def test_readings_at_the_edge_of_sense_never_break_an_assessment(north, readings):
    send(north, *worn("2.0"), day="2026-05-01")
    send(north, *readings)

    assess(north)

    assert condition(north)


@pytest.mark.parametrize("value", ["NaN", "inf", "1e400", "-0x1"])
def test_what_is_no_number_does_not_come_in(north, value):
    answer = send(north, {"kind": "bottom_clearance", "groove": 1, "value": value})

    assert "stored" not in answer["counts"]
