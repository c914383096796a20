"""The catalogue is whole: every code, term and topic is worded, in both languages."""

import gettext
import string
from pathlib import Path

import pytest

from inspections.engineering.criteria.catalogue import DEFINITIONS
from inspections.reasons import Code, Criterion, Term, Topic
from inspections.reasons.catalogue import NAMES, SENTENCES
from inspections.reasons.rendering import NOT_KNOWN
from tests.every_row import of_each
from tests.inspections.reasons.examples import an_example

LOCALE = Path(__file__).resolve().parents[3] / "inspections/locale/de/LC_MESSAGES"


@pytest.fixture(scope="module")
def german():
    with (LOCALE / "django.mo").open("rb") as file:
        return gettext.GNUTranslations(file)


def fields_of(words):
    return {name for _, name, _, _ in string.Formatter().parse(words) if name}


@of_each("code", Code)
def test_every_code_has_a_sentence_that_takes_its_values(code):
    sentence = SENTENCES[code]

    assert fields_of(sentence.words) == set(sentence.fields)
    assert fields_of(sentence.one or sentence.words) <= set(sentence.fields)
    assert bool(sentence.one) == bool(sentence.count)
    assert not sentence.count or sentence.count in sentence.fields


@of_each("code", Code)
def test_every_code_has_german_that_takes_its_values(german, code):
    sentence = SENTENCES[code]

    if not sentence.one:
        written = [german._catalog[sentence.words]]
    else:
        written = [german._catalog[sentence.one, n] for n in (0, 1)]

    assert all(written)
    assert fields_of(written[-1]) == fields_of(sentence.words)
    assert fields_of(written[0]) <= fields_of(sentence.words)


@of_each("code", Code)
def test_every_code_is_said_in_english(code):
    said = str(an_example(code))

    # A value that is not there shows as a question mark.
    assert said.count("?") == SENTENCES[code].words.count("?")


@of_each("term", [*Term, *Criterion, *Topic])
def test_every_term_has_a_name_in_both_languages(german, term):
    assert NAMES[term]
    assert german._catalog[NAMES[term]]


def test_no_two_terms_share_a_stored_name():
    stored = [member.value for enum in (Term, Criterion, Topic) for member in enum]

    assert len(stored) == len(set(stored))


def test_the_criteria_are_those_of_the_closed_list():
    assert {member.value for member in Criterion} == set(DEFINITIONS)
    for key, definition in DEFINITIONS.items():
        assert NAMES[Criterion(key)] == definition.words


def test_the_reason_that_is_not_known_is_worded_too(german):
    assert german._catalog[NOT_KNOWN]
