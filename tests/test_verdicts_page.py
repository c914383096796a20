"""docs/verdicts.md has a line for each part of its issue and case; tests are there."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "verdicts.md").read_text(encoding="utf-8")
ROW = re.compile(
    r"^\| (?P<what>(?!what |---)[^|]+) \| (?P<tests>[^|]+) \|$", re.MULTILINE
)
ROWS = [match.groupdict() for match in ROW.finditer(PAGE)]


def test_every_item_has_its_lines():
    parts = re.split(r"^## ", PAGE, flags=re.MULTILINE)[1:]
    titles = [part.partition("\n")[0] for part in parts]

    assert [title.partition(" ")[0] for title in titles[:11]] == [
        str(number) for number in range(1, 12)
    ]
    assert titles[11:] == [
        "Checked",
        "The cases of before",
        "What is stated and not judged",
    ]
    assert all(ROW.search(part) for part in parts[:-1])


def test_every_case_of_before_has_its_line():
    cases = [row["what"].partition(" ")[0] for row in ROWS]

    assert [case for case in cases if re.fullmatch(r"A\d+", case)] == [
        f"A{number}" for number in range(1, 11)
    ]


@pytest.mark.parametrize("row", [pytest.param(r, id=r["what"][:40]) for r in ROWS])
def test_the_tests_of_a_line_are_there(row):
    tests = re.findall(r"`([^`]+)`", row["tests"])

    assert tests
    for test in tests:
        path, _, function = test.partition("::")
        assert path.startswith("tests/")
        assert (ROOT / path).exists(), test
        if function:
            text = (ROOT / path).read_text(encoding="utf-8")
            assert re.search(rf"^ *def {function}\(", text, re.MULTILINE), test
