"""docs/asvs.md has each section of the standard once, and places that are there."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "asvs.md").read_text(encoding="utf-8")
ROW = re.compile(
    r"^\| (?P<section>[0-9]+\.[0-9]+) (?P<name>[^|]+) \| (?P<standing>[^|]+) \|"
    r" (?P<what>[^|]+) \| (?P<places>[^|]*)\|$",
    re.MULTILINE,
)
# How many sections each chapter of ASVS 5.0 has.
SECTIONS = (5, 4, 7, 4, 4, 8, 6, 4, 2, 7, 7, 3, 4, 3, 4, 5, 3)
ROWS = [match.groupdict() for match in ROW.finditer(PAGE)]


def test_every_section_has_one_line_in_order():
    wanted = [
        f"{chapter}.{section}"
        for chapter, number in enumerate(SECTIONS, start=1)
        for section in range(1, number + 1)
    ]

    assert [row["section"] for row in ROWS] == wanted
    assert [int(n) for n in re.findall(r"^\| \*\*V([0-9]+) ", PAGE, re.M)] == list(
        range(1, len(SECTIONS) + 1)
    )


def test_a_line_says_what_is_not_met_by_its_number_and_where_the_rest_is_shown():
    for row in ROWS:
        named = re.findall(r"`([^`]+)`", row["places"])
        if row["standing"] == "does not apply":
            assert named == [], row["section"]
            continue
        assert named, row["section"]
        assert all((ROOT / path).is_file() for path in named), (row["section"], named)
        if row["standing"] == "met":
            continue
        for part in row["standing"].split("; "):
            said = re.fullmatch(
                r"(?:not met|where set|the operator's): ([0-9., ]+)", part
            )
            numbers = said[1].split(", ")
            assert all(re.fullmatch(rf"{row['section']}\.[0-9]+", n) for n in numbers)
