from dataclasses import replace
from datetime import date
from math import nan

import pytest

from inspections.engineering import criteria
from inspections.engineering.criteria import Family, FieldTest
from inspections.engineering.criteria.catalogue import DEFINITIONS, row
from inspections.engineering.criteria.practice import SERVICE
from inspections.engineering.criteria.traction_terms import traction_source
from inspections.engineering.source import Certainty, Source
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Outcome

OWN = Source(document="own copy of the standard", certainty=Certainty.ENTERED)
EUROPE = criteria.find(code="EN_81_20")
AMERICA = criteria.find(code="ASME_A17_1")
TESTED_ON = date(2025, 3, 4)


@pytest.mark.parametrize("criteria_set", criteria.ALL, ids=lambda each: each.code)
def test_every_limit_has_unit_words_and_source(criteria_set):
    for limit in criteria_set.limits:
        assert limit.words
        assert limit.unit
        assert limit.source.text
        assert limit.key in DEFINITIONS


@pytest.mark.parametrize("criteria_set", criteria.ALL, ids=lambda each: each.code)
def test_no_limit_is_listed_twice(criteria_set):
    names = [limit.name for limit in criteria_set.limits]

    assert len(names) == len(set(names))


@pytest.mark.parametrize("criteria_set", criteria.ALL, ids=lambda each: each.code)
def test_limits_and_gaps_together_are_the_closed_list(criteria_set):
    gaps = criteria.gaps(criteria_set=criteria_set)

    keys = {limit.key for limit in criteria_set.limits} | {gap.name for gap in gaps}
    assert keys == set(DEFINITIONS)
    assert all(gap.reason for gap in gaps)


def test_unknown_code_is_refused_with_the_codes_there_are():
    with pytest.raises(criteria.UnknownSet, match="EN_99 is no criteria set") as caught:
        criteria.find(code="EN_99")

    assert "MLIT_283" in str(caught.value)


@pytest.mark.parametrize(
    ("installed_on", "codes"),
    [
        (date(1970, 1, 1), []),
        (date(1990, 1, 1), ["EN_81_1_1985"]),
        (date(2005, 1, 1), ["EN_81_1_1998"]),
        (date(2016, 1, 1), ["EN_81_20", "EN_81_1_1998"]),
        (date(2020, 1, 1), ["EN_81_20"]),
    ],
)
def test_date_of_installation_picks_the_edition(installed_on, codes):
    found = criteria.suited(family=Family.EN, installed_on=installed_on)

    assert [each.code for each in found] == codes


def test_lookup_of_a_rope_without_a_row_is_a_gap_that_says_why():
    found = criteria.lookup(criteria_set=AMERICA, key="diameter_least", nominal_mm=13.0)
    nominal_unknown = criteria.lookup(criteria_set=AMERICA, key="diameter_least")
    absent = criteria.lookup(criteria_set=EUROPE, key="diameter_least")

    assert found.value is None
    assert "diameter_least@12.7" in str(found.why_open)
    assert nominal_unknown.value is None
    assert str(absent.why_open) == "EN_81_20 has no limit for rope diameter"


def test_lookup_takes_the_nearest_nominal_within_a_tenth_of_a_millimetre():
    found = criteria.lookup(criteria_set=AMERICA, key="diameter_least", nominal_mm=15.9)

    assert found.name == "diameter_least@15.875"


def test_an_override_keeps_the_printed_row_beside_it():
    changed = criteria.override(
        criteria_set=EUROPE, values={"breaks_even/8": 26.0}, source=OWN
    )

    found = criteria.lookup(criteria_set=changed, key="breaks_even", strands=8)
    assert found.value == 26.0
    assert found.source is OWN
    assert found.replaces.value == 30.0
    assert EUROPE.limits != changed.limits


def test_an_override_for_one_diameter_comes_before_the_general_row():
    changed = criteria.override(
        criteria_set=EUROPE,
        values={"diameter_reduction_nominal@13": 5.0},
        source=OWN,
    )

    own = criteria.lookup(
        criteria_set=changed, key="diameter_reduction_nominal", nominal_mm=13.0
    )
    other = criteria.lookup(
        criteria_set=changed, key="diameter_reduction_nominal", nominal_mm=10.0
    )
    assert (own.value, other.value) == (5.0, 6.0)


def test_an_override_fills_a_gap_and_adds_what_a_set_lacks():
    newer = criteria.find(code="ASME_A17_6")

    changed = criteria.override(
        criteria_set=newer,
        values={"breaks_valley": 1.0, "lay_length_growth": 4.0},
        source=OWN,
    )

    names = {gap.name for gap in criteria.gaps(criteria_set=changed)}
    assert not {"breaks_valley", "lay_length_growth"} & names
    assert "breaks_valley" in {each.name for each in criteria.gaps(criteria_set=newer)}


def test_an_override_of_traction_changes_that_value_only():
    changed = criteria.override(
        criteria_set=EUROPE, values={"traction.mu_loading": 0.09}, source=OWN
    )

    assert changed.traction.mu_loading == 0.09
    assert changed.traction.mu_stalled == EUROPE.traction.mu_stalled
    assert "own copy of the standard" in changed.traction.source


@pytest.mark.parametrize(
    "name",
    ["breaks_uneven", "traction.mu_sliding", "breaks_even/eight", "diameter_least@x"],
)
def test_an_override_of_an_unknown_name_is_refused(name):
    with pytest.raises(criteria.UnknownLimit, match="is no") as caught:
        criteria.override(criteria_set=EUROPE, values={name: 1.0}, source=OWN)

    assert str(caught.value).startswith(name)


@pytest.mark.parametrize("value", [-1.0, nan])
def test_an_override_that_is_no_limit_is_refused(value):
    with pytest.raises(OutsideValidity, match="tension_spread is"):
        criteria.override(
            criteria_set=EUROPE, values={"tension_spread": value}, source=OWN
        )


def test_a_key_outside_the_closed_list_is_refused():
    with pytest.raises(KeyError):
        row(key="breaks_uneven", value=1.0, source=OWN)


def test_families_without_a_printed_method_borrow_one():
    borrowed = {each.code for each in criteria.ALL if each.traction.borrowed}

    assert {"ASME_A17_1", "ASME_A17_6", "MLIT_283"} <= borrowed
    assert not {"EN_81_20", "EN_81_1_1985", "TSG_T7001"} & borrowed


@pytest.mark.parametrize(
    ("criteria_set", "margin", "test", "outcome"),
    [
        (EUROPE, 0.2, None, Outcome.NOT_MET),
        (EUROPE, -0.1, None, Outcome.MET),
        (EUROPE, None, None, Outcome.NOT_ASSESSED),
        (EUROPE, 0.2, FieldTest(passed=False, tested_on=TESTED_ON), Outcome.MET),
        (
            EUROPE,
            0.2,
            FieldTest(passed=False, tested_on=TESTED_ON, stale=True),
            Outcome.MET,
        ),
        (EUROPE, -0.1, FieldTest(passed=True, tested_on=TESTED_ON), Outcome.MET),
        (EUROPE, 0.2, FieldTest(passed=True, tested_on=TESTED_ON), Outcome.NOT_MET),
        (AMERICA, 0.2, None, Outcome.NOT_ASSESSED),
        (AMERICA, None, FieldTest(passed=False, tested_on=TESTED_ON), Outcome.MET),
        (AMERICA, -0.1, FieldTest(passed=True, tested_on=TESTED_ON), Outcome.NOT_MET),
        (
            AMERICA,
            0.2,
            FieldTest(passed=True, tested_on=TESTED_ON, stale=True),
            Outcome.NOT_ASSESSED,
        ),
    ],
)
def test_standing_of_a_margin_beside_a_field_test(criteria_set, margin, test, outcome):
    found = criteria.traction_standing(
        criteria_set=criteria_set, margin=margin, field_test=test
    )

    assert found.outcome is outcome
    assert found.margin == margin


def test_a_borrowed_calculation_that_does_not_close_is_still_told():
    found = criteria.traction_standing(
        criteria_set=AMERICA,
        margin=-0.1,
        field_test=FieldTest(passed=True, tested_on=TESTED_ON),
    )

    assert "borrowed" in str(found.reason)
    assert "does not close (margin -0.100)" in str(found.reason)


def test_a_margin_that_is_no_number_is_refused():
    with pytest.raises(OutsideValidity, match="margin is nan"):
        criteria.traction_standing(criteria_set=EUROPE, margin=nan)


def test_sets_not_written_for_lifts_say_so():
    found = {each.code for each in criteria.ALL if each.comparison_only}

    assert found == {"WAC_296_155", "CFR_30_56", "ISO_4309", "JAPAN_HOIST_40"}


@pytest.mark.parametrize("criteria_set", criteria.ALL, ids=lambda each: each.code)
def test_every_set_has_the_limits_of_practice_whatever_it_was_written_for(criteria_set):
    wanted = {limit.key for limit in SERVICE}

    assert wanted <= {limit.key for limit in criteria_set.limits}


def test_traction_status_becomes_a_certainty():
    assert traction_source(rules=EUROPE.traction).certainty is Certainty.FROM_MEMORY


def test_a_stated_traction_status_is_kept():
    confirmed = replace(EUROPE.traction, status=Certainty.CONFIRMED)

    assert traction_source(rules=confirmed).certainty is Certainty.CONFIRMED
