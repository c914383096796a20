"""docs/faults.md names tests that are there, and each of them names its fault."""

import re
from pathlib import Path

import pytest

from tests.rehearsals.__main__ import NAMES

ROOT = Path(__file__).parents[1]
ROW = re.compile(
    r"^\| (?P<faults>[0-9][0-9, to]*) \|.*\| (?P<tests>[^|]*) \|$", re.MULTILINE
)
LIST = r"[0-9]+(?:(?:,? and | to |, )[0-9]+)*"
NAMED = re.compile(rf"[Ff]aults?[ _](?P<faults>{LIST})")


def numbers(text):
    """Return the numbers of "8, 10 and 12 to 14"."""
    found = set()
    for first, last in re.findall(r"([0-9]+)(?: to ([0-9]+))?", text):
        found |= set(range(int(first), int(last or first) + 1))
    return found


def rows():
    page = (ROOT / "docs/faults.md").read_text(encoding="utf-8")
    for row in ROW.finditer(page):
        yield numbers(row["faults"]), re.findall(r"`([^`]+)`", row["tests"])


def named_in(path):
    text = (ROOT / path).read_text(encoding="utf-8")
    return {n for match in NAMED.finditer(text) for n in numbers(match["faults"])}


def test_a_list_of_faults_is_read_as_a_person_reads_it():
    assert numbers("8, 10 and 12 to 14") == {8, 10, 12, 13, 14}


@pytest.mark.parametrize(
    ("faults", "tests"), [pytest.param(f, t, id=f"{min(f)}") for f, t in rows()]
)
def test_each_fault_is_named_by_a_test_of_its_row(faults, tests):
    assert tests
    for path in tests:
        assert (ROOT / path).exists(), path
        assert faults & named_in(path), f"{path} names none of {sorted(faults)}"
    assert faults <= set().union(*(named_in(path) for path in tests))


def test_every_fault_is_on_the_page():
    known = set().union(*(faults for faults, _ in rows()))

    # These are numbers without a fault.
    assert set(range(1, 64)) - {22, 33, 48, 54} <= known
    assert set(range(70, 83)) <= known


ATTACK = re.compile(
    r"^\| (?P<name>[A-D][0-9]+) \|.*\| (?P<tests>[^|]*) \|$", re.MULTILINE
)


def attacks():
    page = (ROOT / "docs/faults.md").read_text(encoding="utf-8")
    return {
        m["name"]: re.findall(r"`([^`]+)`", m["tests"]) for m in ATTACK.finditer(page)
    }


def test_every_attack_that_once_held_is_tried_by_a_test_that_is_there():
    found = attacks()

    assert [n for n in found if n[0] == "A"] == [f"A{i}" for i in range(1, 4)]
    assert [n for n in found if n[0] == "B"] == [f"B{i}" for i in range(1, 12)]
    assert [n for n in found if n[0] == "C"] == [f"C{i}" for i in range(1, 12)]
    for name, tests in found.items():
        assert tests, name
        for test in tests:
            path, _, function = test.partition("::")
            text = (ROOT / path).read_text(encoding="utf-8")
            assert f"def {function}(" in text, f"{name}: {test}"


def test_every_bad_day_that_no_test_plays_is_a_command():
    page = (ROOT / "docs/faults.md").read_text(encoding="utf-8")
    commands = re.findall(r"^\| `([a-z_]+)` \| ", page, re.MULTILINE)

    assert sorted(commands) == NAMES
