"""How many printed values this folder compares with, and that each counts once."""

import re
from collections import Counter
from pathlib import Path

from inspections.engineering.source import Certainty
from tests.published.printed import files, table

ROOT = Path(__file__).parents[2]


def test_the_table_of_the_documents_is_this_one():
    told = (ROOT / "docs" / "sources.md").read_text(encoding="utf-8")

    assert table() in told


def test_every_file_here_has_a_source_of_its_own():
    found = [printed.source for _, printed in files()]

    assert len(found) == len(set(found))
    assert all(found)


def test_no_printed_value_counts_twice():
    counted = Counter(
        (quantity, number)
        for _, printed in files()
        for quantity, numbers in printed.computed.items()
        for number in set(numbers)
    )

    assert [value for value, times in counted.items() if times > 1] == []


def confirmed():
    return [each for _, each in files() if each.status is Certainty.CONFIRMED]


def test_sixty_values_are_computed_and_forty_of_them_are_of_lifts():
    assert sum(printed.computed_count for printed in confirmed()) >= 60
    assert sum(printed.lifts_count for printed in confirmed()) >= 40


def test_the_values_of_lifts_are_not_of_one_table_alone():
    """The rope table has the most rows; what is left must stand without it.

    Answers read in a text that quotes the question count here: they were printed.
    """
    found = sorted(printed.lifts_count for _, printed in files())

    assert sum(found[:-1]) >= 30
    assert sum(count > 0 for count in found) >= 10


def test_every_computed_number_is_written_in_the_file_that_counts_it():
    missing = [
        (name, number)
        for name, printed in files()
        for numbers in printed.computed.values()
        for number in set(numbers) - literals(name)
    ]

    assert missing == []


def literals(name):
    """Return the numbers that a file of this folder writes out."""
    written = (ROOT / "tests" / "published" / f"{name}.py").read_text(encoding="utf-8")
    found = re.findall(r"\d[\d_]*(?:\.\d+)?", written)
    return {float(each.replace("_", "")) for each in found}
