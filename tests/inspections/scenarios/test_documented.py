"""The table in docs/designer.md: what was asked, where it is, what test holds it."""

import re
from pathlib import Path

WRITTEN = Path("docs/designer.md").read_text(encoding="utf-8")
TABLE = WRITTEN.partition("## Which test holds what\n")[2].partition("\n## ")[0]
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")]
    for line in TABLE.splitlines()
    if line.startswith("|") and not line.startswith(("| ---", "| what"))
]


def defined():
    """Return the names of all tests there are."""
    found = set()
    for path in Path("tests").rglob("test_*.py"):
        text = path.read_text(encoding="utf-8")
        found |= set(re.findall(r"^\s*def (test_\w+)", text, re.MULTILINE))
    return found


def test_every_test_of_the_table_exists():
    named = {name for *_, tests in ROWS for name in re.findall(r"`(\w+)`", tests)}

    assert len(ROWS) > 30
    assert named
    assert named - defined() == set()


def test_every_row_has_a_place_and_a_test():
    assert all(len(row) == 3 and all(row) for row in ROWS)
    assert all("`test_" in row[2] for row in ROWS)


def test_every_place_of_the_table_exists():
    rooms = [room for _, where, _ in ROWS for room in re.findall(r"`([\w/.]+)`", where)]

    assert [room for room in rooms if not Path(f"inspections/{room}").exists()] == []
