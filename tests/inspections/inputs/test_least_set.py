"""The least set of checks: contractor and country make it stricter, nobody looser."""

import pytest

from inspections.inputs import CHECKS, least_set


def of(code, *, said=None, criteria_set="EN_81_20", time_zone="Europe/Lisbon"):
    found = least_set.ages(
        said=said or {}, criteria_set=criteria_set, time_zone=time_zone
    )
    return found.of(code)


@pytest.mark.parametrize("part", least_set.PARTS)
def test_parts_are_seen_every_six_months_by_the_clock_of_the_united_kingdom(part):
    code = part.replace(" ", "_")

    assert of(code) == 12
    assert of(code, time_zone="Europe/London") == 6


def test_run_by_follows_the_country_and_diameters_do_not():
    assert of("counterweight_runby", time_zone="Europe/London") == 6
    assert of("rope_diameter", time_zone="Europe/London") == 12


def test_the_strictest_of_what_applies_counts():
    said = {"brake": 4, "EN_81_20/brake": 9, "EN_81_20/hub": 3}

    assert of("brake", said=said) == 4
    assert of("hub", said=said) == 3
    assert of("hub", said=said, criteria_set="ASME_A17_1") == 12
    assert of("brake", said={"brake": 9}, time_zone="Europe/London") == 6


def test_what_is_watched_is_never_looked_at_less_often_than_what_is_not():
    assert of("broken_wires_watched", said={"broken_wires": 2}) == 2
    assert of("traction_test_borrowed", said={"traction_test": 9}) == 9


def test_what_is_asked_for_beside_the_set_has_an_age_only_then():
    assert of("guards") is None
    found = least_set.ages(
        said={"guards": 24}, criteria_set="EN_81_20", time_zone="UTC"
    )
    assert [check.code for check in found.more] == ["guards"]
    assert found.changed == {"guards": 24}


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"brake": 13}, "13 months for brake are looser"),
        ({"EN_81_20/brake": 24}, "24 months for brake are looser"),
        ({"traction_test": 61}, "looser"),
        ({"brake": 0}, "at least 1"),
        ({"guards": 121}, "at most 120"),
        ({"paint": 3}, "'paint' is no check"),
        ({"EN_0/brake": 3}, "EN_0 is no criteria set"),
        ({"brake": True}, "whole months"),
        ({"brake": 5.5}, "whole months"),
    ],
)
def test_what_is_looser_or_nothing_is_refused_in_words(said, words):
    with pytest.raises(least_set.Looser, match=words):
        least_set.check_stricter(said)


def test_every_age_of_the_set_can_be_said_as_it_is():
    least_set.check_stricter({c.code: c.months for c in CHECKS.values() if c.months})
