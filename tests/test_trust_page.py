"""docs/trust.md has a line for each part of its issue; places and tests are there."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "trust.md").read_text(encoding="utf-8")
ROW = re.compile(
    r"^\| (?P<what>(?!what |---)[^|]+) \| (?P<where>[^|]+) \| (?P<tests>[^|]+) \|$",
    re.MULTILINE,
)
ROWS = [match.groupdict() for match in ROW.finditer(PAGE)]
LINK = re.compile(r"\]\((?P<page>[a-z]+\.md)(?:#[a-z-]+)?\)")


def test_every_item_has_its_lines():
    parts = re.split(r"^## ", PAGE, flags=re.MULTILINE)[1:]
    titles = [part.partition("\n")[0] for part in parts]

    assert [title[0] for title in titles[:9]] == list("123456789")
    assert titles[9:] == ["What is shown", "Not tried"]
    assert all(ROW.search(part) for part in parts[:-1])


@pytest.mark.parametrize("row", [pytest.param(r, id=r["what"][:40]) for r in ROWS])
def test_a_lines_places_and_tests_are_there(row):
    places = re.findall(r"`([^`]+)`", row["where"])
    pages = [match["page"] for match in LINK.finditer(row["where"])]
    assert places or pages
    assert all((ROOT / place).exists() for place in places), places
    assert all((ROOT / "docs" / page).is_file() for page in pages), pages

    tests = re.findall(r"`([^`]+)`", row["tests"])
    assert tests
    for test in tests:
        path, _, function = test.partition("::")
        assert path.startswith("tests/")
        assert (ROOT / path).exists(), test
        if function:
            text = (ROOT / path).read_text(encoding="utf-8")
            assert re.search(rf"^ *def {function}\(", text, re.MULTILINE), test
