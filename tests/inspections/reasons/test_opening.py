"""What is open is said in one sentence: both ends, the chance, what would decide."""

from math import radians

import pytest
from django.utils import translation

from inspections.engineering.unknowns import ALL
from inspections.reasons import OpenEnds, open_sentence
from inspections.reasons.opening import name_of
from inspections.reasons.terms import Term
from inspections.wording import say


def ends(**changes):
    given = {
        "worst": -0.512,
        "typical": 0.4,
        "best": 1.1,
        "unit": "mm",
        "chance": 0.1201,
        "decides": "mouth_angle_rad",
        "low": radians(4.0),
        "high": radians(12.0),
        "source": "common practice, no source",
    }
    return OpenEnds(**given | changes)


def test_ends_chance_range_and_source_are_in_one_sentence():
    assert str(open_sentence(ends())) == (
        "it depends on what is not known: the margin is between -0.512 mm and 1.1 mm, "
        "0.4 mm with usual values; by 12.1 chances in 100 it is beyond its limit; the "
        "mouth angle would decide most: taken as 4 ° to 12 ° (common practice, no "
        "source)"
    )


def test_it_is_said_in_german_and_in_inches():
    with translation.override("de"):
        said = say(open_sentence(ends()), family="INCH")

    assert said.startswith("es hängt von etwas ab, das nicht bekannt ist: die Reserve")
    assert "-0,020 in" in said
    assert "12,1 von 100 Möglichkeiten" in said
    assert "der Öffnungswinkel" in said


def test_a_chance_is_never_told_smaller_than_it_is():
    said = str(open_sentence(ends(chance=0.0101)))

    assert "by 1.1 chances in 100" in said


def test_what_nothing_bounds_is_said_so():
    said = str(open_sentence(ends(worst=None, best=None, chance=None, decides="")))

    assert said == "it depends on what is not known, and nothing bounds the margin"


def test_a_range_without_a_source_is_two_standard_deviations():
    said = str(open_sentence(ends(source="")))

    assert said.endswith("two standard deviations of what is registered or read")


@pytest.mark.parametrize("unknown", [each.name for each in ALL])
def test_everything_that_may_not_be_known_has_a_name(unknown):
    assert isinstance(name_of(unknown), Term)


@pytest.mark.parametrize("name", ["seat_depth_mm", "rope_stiffness", "car_mass_kg"])
def test_what_else_decides_has_a_name(name):
    assert isinstance(name_of(name), Term)
