"""Limits as printed: what made one stricter, and in inches no finer than meant."""

import re

import pytest
from django.utils import translation

from fleet.models import RopeSet
from inspections.engineering import criteria
from inspections.forecasts import breaks
from inspections.models import Finding, Grade, Reading
from inspections.reasons import Code, Quantity, Topic, as_json, because
from reports.composition import (
    appendix,
    findings,
    readings,
    reasons,
    strip,
    words,
)
from reports.composition.decided import money
from reports.composition.reader import Reader
from tests.reports.orders import NOW

METRIC = Reader(family="METRIC", zone=NOW.tzinfo)
INCH = Reader(family="INCH", zone=NOW.tzinfo)


@pytest.fixture(autouse=True)
def english():
    with translation.override("en"):
        yield


def test_a_limit_halved_for_rouge_says_so_where_it_stands():
    halved = Finding(
        topic=Topic.BROKEN_WIRES,
        grade=Grade.IN_ORDER,
        value=7.0,
        limit=16.0,
        margin=9.0,
        unit="wires",
        said=as_json(because(Code.LIMIT_TAKEN_TIMES, limit=32.0, factor=0.5)),
    )

    shown = findings.figures(halved, reader=METRIC)

    assert shown["limit"] == "16 wires (32 × 0.5: rouge or wear)"
    halved.said = {}
    assert findings.figures(halved, reader=METRIC)["limit"] == "16 wires"


@pytest.mark.parametrize(
    ("millimetres", "inches"),
    [(50.0, "1.97 in"), (69.85, "2.75 in"), (12.7, "0.500 in")],
)
def test_a_length_read_by_tape_has_no_thousandths_of_an_inch(millimetres, inches):
    assert INCH.quantity(millimetres, "mm") == inches


@pytest.mark.parametrize(
    ("reader", "millimetres", "upper", "lower"),
    [
        # D/2000 of 551.8 mm is 0.2759 mm: 0.28 mm and 0.011 in would allow more.
        (METRIC, 0.2759, "0.27 mm", "0.28 mm"),
        (INCH, 0.2759, "0.0108 in", "0.0109 in"),
        (METRIC, 6.43, "6.43 mm", "6.43 mm"),
        (INCH, 548.0, "21.574 in", "21.575 in"),
        (INCH, 12.7, "0.500 in", "0.500 in"),
    ],
)
def test_the_last_digit_of_a_limit_to_turn_by_never_allows_more(
    reader, millimetres, upper, lower
):
    assert reader.length_within(millimetres, is_upper=True) == upper
    assert reader.length_within(millimetres, is_upper=False) == lower


@pytest.mark.parametrize(
    ("millimetres", "said"),
    [
        (12.7, "1/2 in"),
        (9.5, "3/8 in"),
        (28.575, "1 1/8 in"),
        (13.0, "0.512 in (13 mm)"),
    ],
)
def test_a_rope_has_the_name_it_is_sold_by(millimetres, said):
    assert INCH.rope_size(millimetres) == said
    assert METRIC.rope_size(millimetres) == f"{millimetres:.1f} mm"


def test_grooves_are_equal_within_the_readers_own_unit():
    within = because(Code.DIAMETERS_EQUAL, within=Quantity(0.10, "mm"))

    assert "equal within 0.10 mm" in reasons.say(within, reader=METRIC)
    assert "equal within 0.0039 in" in reasons.say(within, reader=INCH)


@pytest.mark.parametrize("one", criteria.ALL, ids=lambda one: one.code)
def test_who_reads_inches_reads_no_millimetres_among_the_criteria(one):
    found = appendix.criteria_sets([one], reader=INCH)

    limits = [each.limit for each in found[0].criteria]
    assert len(limits) > 10
    assert [each for each in limits if each.endswith((" mm", " MPa"))] == []
    assert any(each.endswith(" in") for each in limits)


def test_what_was_read_beside_a_slip_test_has_its_unit():
    test = Reading(
        kind="traction_test",
        place={"case": "empty car up", "load_kg": 0, "speed_m_s": 1.52, "slid_mm": 2},
    )

    assert readings.place_of(test) == (
        "case empty car up, load 0 kg, speed 1.52 m/s, slid 2 mm"
    )


@pytest.mark.parametrize("one", criteria.ALL, ids=lambda one: one.code)
def test_a_limit_has_no_digits_that_nobody_set(one):
    found = appendix.criteria_sets([one], reader=METRIC)

    limits = [each.limit for each in found[0].criteria]
    assert [
        each for each in limits if re.search(r"\d\.\d{3,} mm|\b1 wires", each)
    ] == []
    assert [each for each in limits if each.endswith(" deg")] == []


def test_a_run_by_is_as_fine_as_a_tape_and_so_is_its_margin():
    assert METRIC.quantity(385.0, "mm") == "385.0 mm"
    assert METRIC.quantity(12.0, "mm", signed=True, like=62.0) == "+12.0 mm"
    assert METRIC.quantity(12.0, "mm", signed=True) == "+12.00 mm"


def test_every_limit_of_a_forecast_is_told_by_its_criterion():
    assert words.case(breaks.REASON) == "broken wires in a lay, spread evenly"
    with translation.override("de"):
        assert words.case(breaks.REASON).startswith("Drahtbrüche")


def test_limits_for_ropes_that_no_lift_has_are_left_out_and_that_is_said():
    ropes = appendix.fitted(
        [RopeSet(strand_class="8x19", nominal_diameter_mm=12.7)] * 2
    )
    one = next(each for each in criteria.ALL if any(x.nominal_mm for x in each.limits))

    all_of_it = appendix.criteria_sets([one], reader=METRIC)[0]
    left = appendix.criteria_sets([one], ropes=ropes, reader=METRIC)[0]

    names = [each.name for each in left.criteria]
    assert len(names) < len(all_of_it.criteria)
    assert any("ropes of 8 strands" in name for name in names)
    assert not any("ropes of 6 strands" in name for name in names)
    assert any("ropes of 12.70 mm" in name for name in names)
    assert not any("ropes of 25.40 mm" in name for name in names)
    assert "are left out" in left.note
    assert "are left out" not in all_of_it.note


@pytest.mark.parametrize(
    "sets", [[None], [RopeSet(strand_class="", nominal_diameter_mm=12.7)]]
)
def test_what_is_not_known_of_a_rope_leaves_no_strands_out(sets):
    assert appendix.fitted(sets).strands == frozenset()


def test_what_a_row_of_the_strip_has_no_room_for_stands_whole_under_it():
    passed = Finding(topic=Topic.TRACTION, grade=Grade.ACT_NOW, margin=-0.1)
    days = {"today": NOW.date(), "first": None}
    rows = [
        strip.row(label="MH-1", grade=Grade.ACT_NOW, urgent=[passed], **days),
        strip.row(label="MH-2", grade=Grade.IN_ORDER, urgent=[], **days),
    ]

    caption = strip.drawn(rows, reader=METRIC, today=NOW.date()).caption

    what = words.topic(Topic.TRACTION).what
    assert caption.endswith(f"Beyond today: MH-1: {what}.")


def test_page_one_says_that_nothing_was_estimated_and_not_why():
    cost = {"low": None, "mid": None, "high": None, "missing": [], "currency": "EUR"}

    assert money.in_brief(cost, reader=METRIC) == "not estimated"
    known = cost | {"low": 10.0, "mid": 20.0, "high": 30.0}
    assert money.in_brief(known, reader=METRIC) == "EUR 10 to 30, likely 20"


def test_every_two_numbers_that_disagree_are_listed_and_named():
    car = because(
        Code.CAR_MASS_DIFFERS,
        read=Quantity(1500.0, "kg"),
        registered=Quantity(1200.0, "kg"),
    )
    wrap = because(Code.WRAP_DIFFERS, read=150.0, registered=178.0)
    found = [
        Finding(
            pk=pk,
            topic=Topic.REGISTER,
            grade=Grade.KEEP_AN_EYE_ON,
            criterion="what is read agrees with the register",
            said=as_json(differs.with_also(because(Code.HEAVIER_CAR_CARRIED))),
        )
        for pk, differs in ((1, car), (2, wrap))
    ]

    groups = findings.groups(found)

    assert [findings.figures(each, reader=METRIC)["value"] for [each] in groups] == [
        "car mass 1500 kg read, 1200 kg registered",
        "wrap 150.0 degrees by what was measured, 178.0 by the register",
    ]
