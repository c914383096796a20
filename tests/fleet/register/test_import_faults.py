"""Faults of a file's rows: said in the reader's language, with their values."""

import re
from pathlib import Path

import pytest
from django.utils import translation

from fleet.register.exchange import dialect, numbers, rules
from fleet.register.exchange.problems import CellRefused
from fleet.register.pages import faults

ROOT = Path(__file__).parents[3]
ROOMS = ("fleet/register/exchange", "inspections/exchange", "inspections/intake")
GERMAN = dialect.Dialect(delimiter=";", decimal_mark=",")


def sources():
    for room in ROOMS:
        for path in sorted((ROOT / room).glob("*.py")):
            yield path.read_text("utf-8")


def test_every_code_of_a_row_has_words_and_german():
    codes = {
        code
        for text in sources()
        for code in re.findall(r"""code="([a-z-]+)"|_Wrong\(\s*"([a-z-]+)\"""", text)
        for code in code
        if code
    }
    # What is taken in with a warning is no fault.
    codes -= {
        code
        for text in sources()
        for code in re.findall(r"""Warned\(\s*code="([a-z-]+)\"""", text)
    }
    # Of whole files and uploads, never of a row.
    codes -= {"not-a-table", "too-many-rows", "nothing-taken"}

    assert codes <= set(faults.BY_CODE)
    with translation.override("de"):
        for words in (*faults.BY_CODE.values(), *faults._SENTENCES, *faults._WORDS):
            assert words == "Text" or translation.gettext(words) != words


def refused(read, text):
    with pytest.raises(CellRefused) as found:
        read(text=text, dialect=GERMAN)
    return {"detail": found.value.detail, "code": found.value.code}


def test_a_number_is_refused_in_german_with_the_marks_to_write():
    error = refused(numbers.read_number, "much")

    with translation.override("de"):
        said = faults.in_words(error)

    assert said.startswith("'much' ist keine Zahl; schreiben Sie sie wie 11,8")
    assert "Dezimalzeichen: Komma" in said
    assert faults.in_words(error) == error["detail"]


@pytest.mark.parametrize(
    ("detail", "said"),
    [
        (
            "there is no rope set with machine M-1; bring it in first",
            "Nicht erfasst: Seilsatz mit machine M-1; lesen Sie das zuerst ein",
        ),
        (
            "this column is not taken here; is car_mass_kg meant?",
            "Diese Spalte wird hier nicht genommen; ist car_mass_kg gemeint?",
        ),
        (
            rules.words_of(constraint="owner_code_once"),
            "Es steht in der Datei oder im Bestand doppelt",
        ),
        (
            "of a kind nobody foresaw",
            "Das ist kein Tag. Auf Englisch: of a kind nobody foresaw",
        ),
    ],
)
def test_what_is_known_is_said_whole_and_what_is_not_by_its_code(detail, said):
    with translation.override("de"):
        assert faults.in_words({"detail": detail, "code": "not-a-date"}) == said


def test_the_marks_of_a_cell_are_no_marks_of_a_sentence():
    with translation.override("de"):
        said = faults.in_words({"detail": "{text} is no date written {form}"})

    assert said == "{text} ist kein Tag in der Schreibweise {form}"
