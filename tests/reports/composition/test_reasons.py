"""Reasons in documents: by code, in the reader's language, days and units."""

from datetime import date
from zoneinfo import ZoneInfo

import pytest
from django.utils import translation

from inspections.engineering.validity import OutsideValidity
from inspections.models import Finding, Grade
from inspections.reasons import (
    Code,
    Quantity,
    Term,
    Topic,
    UnknownCode,
    as_json,
    because,
    missing,
    note,
)
from inspections.reasons.reason import Reason
from reports.composition import findings, reasons, words
from reports.composition.reader import Reader
from tests.every_row import of_each
from tests.inspections.reasons.examples import an_example

GERMAN = Reader(family="METRIC", zone=ZoneInfo("UTC"), language="de")
ENGLISH = Reader(family="METRIC", zone=ZoneInfo("UTC"))
INCHES = Reader(family="INCH", zone=ZoneInfo("UTC"))
MARKED = "[auf Englisch]"
SCATTER = because(
    Code.SCATTER_HIDES, scatter=Quantity(0.5, "mm"), difference=Quantity(2.54, "mm")
)


def told(reason, reader, text="as it was said then"):
    with translation.override(reader.language):
        return reasons.stored(as_json(reason), text, reader=reader)


def finding(**changes):
    values = {"topic": str(Topic.TRACTION), "grade": Grade.KEEP_AN_EYE_ON}
    return Finding(**(values | changes))


# What they say stands in their values alone.
BARE = (Code.NOTE, Code.ROPE_STRANDS, Code.ROPE_GRADES)


@of_each("code", [code for code in Code if code not in BARE])
def test_every_code_is_told_in_german_and_never_by_its_english(code):
    german = told(an_example(code), GERMAN)

    assert german
    assert german != str(an_example(code))
    assert MARKED not in german


def test_numbers_days_and_units_are_the_readers():
    day = because(Code.DUE_AGAIN, last=date(2026, 5, 3), due=date(2026, 6, 3))

    assert "0,50 mm" in told(SCATTER, GERMAN)
    assert "3. Mai 2026" in told(day, GERMAN)
    assert "3 May 2026" in told(day, ENGLISH)
    assert "0.100 in" in told(SCATTER, INCHES)


def test_a_criteria_set_is_told_by_its_title():
    gaps = because(Code.SET_GAPS, set="EN_81_20", items=(Term.LAY,))

    said = told(note("x").with_also(gaps), ENGLISH)

    assert "EN_81_20" not in said
    assert "EN 81-20" in said


def test_a_value_outside_a_formula_is_told_without_its_raw_name():
    few = OutsideValidity(
        name="offsets_mm", value=2, rule=because(Code.RULE_RUNS, least=3)
    )
    high = OutsideValidity(
        name="wrap_angle_rad", value=9.0, rule=because(Code.RULE_POSITIVE)
    )

    assert told(few.reason, ENGLISH) == "read over 2 runs; three or more are needed"
    assert MARKED not in told(few.reason, GERMAN)
    assert told(high.reason, ENGLISH) == "the angle of wrap is 9; it must be positive"


def test_what_has_no_code_is_told_as_then_and_marked_in_another_language():
    with translation.override("de"):
        german = reasons.stored(None, "missing: car mass", reader=GERMAN)

    assert german == f"missing: car mass {MARKED}"
    assert reasons.stored(None, "missing: car mass", reader=ENGLISH) == (
        "missing: car mass"
    )


def test_words_of_before_inside_a_reason_are_marked_alone():
    kept = because(Code.CARRIED_OVER, since=date(2026, 5, 3)).with_also(note("worn"))

    said = told(kept, GERMAN)

    assert said.endswith(f"worn {MARKED}")
    assert "übernommen" in said


def test_a_code_of_a_newer_version_is_told_as_one_that_is_not_known():
    said = told(Reason(code=UnknownCode("moon_phase")), ENGLISH)

    assert said == "a reason this version does not know: moon_phase"


def test_what_value_limit_and_margin_say_is_not_said_again_but_the_rest_is():
    echo = because(Code.CALCULATION_CLOSES, margin=0.1)
    both = echo.with_also(because(Code.TEST_NOT_KNOWN))

    only = words.meaning(finding(said=as_json(echo)), reader=ENGLISH)
    more = words.meaning(finding(said=as_json(both)), reader=ENGLISH)

    assert "closes" not in only + more
    assert more == f"{only} No field test is known."


def test_what_was_seen_is_told_by_its_term_and_not_out_of_a_text():
    reported = because(Code.REPORTED, word=Term.DEFECT, seen_on=date(2026, 5, 3))
    looked = finding(
        topic=str(Topic.CHECK),
        rule=str(Term.SEEN_BY_EYE),
        criterion="words that nobody reads",
        said=as_json(reported),
    )

    with translation.override("de"):
        shown = findings.figures(looked, reader=GERMAN)
        against = findings.criterion(looked, reader=GERMAN)

    assert shown == {"value": "Mangel", "limit": "kein Mangel", "margin": "–"}
    assert "nobody" not in against
    assert against


def test_a_finding_of_before_keeps_its_criterion_as_said_then():
    with translation.override("de"):
        against = findings.criterion(finding(criterion="check: pass"), reader=GERMAN)

    assert against == f"check: pass {MARKED}"


@pytest.mark.parametrize("item", [Term.CAR_MASS, Term.RATED_LOAD, Term.SEAT_DEPTH])
def test_what_is_missing_is_named_item_by_item(item):
    assert told(missing(item), GERMAN).startswith("es fehlt")


# --- what is open ---------------------------------------------------------------------
OPEN = {
    "answer": "OPEN",
    "unit": "mm",
    "topic": str(Topic.RIM_METAL),
    "worst": -1.2,
    "typical": 0.8,
    "best": 2.0,
    "chance_beyond": 0.37,
    "decides": "cast_runout_mm",
    "unknowns": [
        {
            "name": "cast_runout_mm",
            "low": 0.0,
            "typical": 1.0,
            "high": 3.0,
            "source": "common practice, no source",
        }
    ],
}


def test_an_open_finding_says_ends_chance_and_what_decides_in_the_readers_words():
    opened = finding(**OPEN)

    with translation.override("de"):
        german = words.meaning(opened, reader=GERMAN)
    english = words.meaning(opened, reader=ENGLISH)

    assert "the margin is between -1.2 mm and 2 mm, 0.8 mm" in english
    assert "37 chances in 100" in english
    assert "the run-out of the underside would decide most" in english
    assert "0 mm to 3 mm (common practice, no source)" in english
    assert "37 von 100 Möglichkeiten" in german
    assert "der Schlag der Unterseite" in german


def test_what_is_remote_or_not_open_says_nothing_of_it():
    remote = finding(**OPEN | {"chance_beyond": 0.001, "unknowns": []})
    within = finding(**OPEN | {"answer": "WITHIN"})

    for each in (remote, within):
        assert "not known" not in words.meaning(each, reader=ENGLISH)


def test_what_is_open_and_asks_for_nothing_else_stands_among_what_is_not_known():
    opened = finding(**OPEN | {"grade": Grade.IN_ORDER, "place": "groove 2"})
    blind = finding(
        **OPEN | {"grade": Grade.NOT_ASSESSED, "said": as_json(SCATTER), "reason": "x"}
    )
    within = finding(**OPEN | {"grade": Grade.IN_ORDER, "answer": "WITHIN"})

    [alone, beside] = findings.not_assessed([opened, blind, within], reader=ENGLISH)

    assert "groove 2" in alone.what
    assert alone.reason.startswith("It depends on what is not known")
    assert "0.50 mm" in beside.reason
    assert "It depends on what is not known" in beside.reason
