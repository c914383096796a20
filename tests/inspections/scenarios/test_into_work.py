"""From a scenario to the option that does it, and the note that goes with it."""

import pytest

from inspections.decisions.records import OptionKind
from inspections.models import Scenario
from inspections.scenarios import into_work


@pytest.mark.parametrize(
    ("changes", "kind"),
    [
        ({"undercut_angle_deg": 90.0, "rope_diameter_mm": 12.0}, "REGROOVE_IN_SHOP"),
        ({"sheave_diameter_mm": 600.0, "cut_depth_mm": 1.0}, "REPLACE_SHEAVE"),
        ({"rope_diameter_mm": 12.0, "tensions": "EQUAL"}, "RE_ROPE"),
        ({"tensions": "EQUAL", "car_mass_kg": 900.0}, "EQUALISE"),
        ({"car_mass_kg": 900.0}, None),
        ({}, None),
    ],
)
def test_the_greatest_work_is_the_option(changes, kind):
    found = into_work.option_of(changes)

    assert found == (OptionKind(kind) if kind else None)


def test_the_note_says_what_was_tried():
    row = Scenario(
        name="lighter", changes={"car_mass_kg": 900.0, "groove_form": "ROUND"}
    )

    said = into_work.note_of(row)

    assert "lighter" in said
    assert "mass of the empty car 900 kg" in said
    assert "form of the grooves round" in said
