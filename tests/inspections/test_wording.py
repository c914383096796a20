"""Reasons in the reader's language and units."""

from datetime import date

import pytest
from django.utils import translation

from inspections import wording
from inspections.reasons import (
    Code,
    Quantity,
    Term,
    Topic,
    because,
    from_json,
    missing,
    note,
)

FEEDS = because(Code.FEEDS_MORE, length=Quantity(2.54, "mm"))


def test_a_reason_is_said_in_the_active_language():
    with translation.override("de"):
        assert wording.say(missing(Term.CAR_MASS, Term.RATED_LOAD)) == (
            "es fehlt: Masse des Fahrkorbs, Nennlast"
        )
        assert "2,5 mm weiter" in wording.say(FEEDS)
        assert wording.name(Topic.BRAKE) == "Bremse"
    with translation.override("en"):
        assert wording.say(FEEDS) == str(FEEDS)


def test_lengths_are_said_in_inches_to_who_reads_inches():
    with translation.override("en"):
        assert "0.100 in more per trip" in wording.say(FEEDS, family="INCH")


def test_a_criteria_set_is_said_by_its_title():
    gaps = because(Code.SET_GAPS, set="EN_81_1_1998", items=(Term.LAY,))

    said = wording.say(note("x").with_also(gaps))

    assert "EN_81_1_1998" not in said
    assert "EN 81-1" in said


@pytest.mark.parametrize(
    ("count", "words"), [(1, "1 Messwert wurde"), (3, "3 Messwerte wurden")]
)
def test_german_has_its_own_plural(count, words):
    reason = because(Code.GAUGE_OVERDUE, count=count, due_on=date(2026, 5, 3))

    with translation.override("de"):
        said = wording.say(reason)

    assert said.startswith(words)
    assert "03.05.2026" in said


def test_a_reason_of_a_newer_version_is_said_in_german_too():
    with translation.override("de"):
        assert wording.say(from_json({"code": "new"})) == (
            "ein Grund, den diese Version nicht kennt: new"
        )
