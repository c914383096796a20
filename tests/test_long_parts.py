""".ci/long: what is marked long and each rehearsal belongs to one of its parts."""

import re
import subprocess
from pathlib import Path

from tests.rehearsals.__main__ import NAMES

ROOT = Path(__file__).parents[1]
PART = re.compile(r"^(?P<name>\w+) *\| [~<]?[0-9]+ \| (?P<command>.+)$", re.MULTILINE)
LONG = ROOT / ".ci/long"


def listed():
    told = subprocess.run([LONG, "list"], capture_output=True, text=True, check=True)
    parts = dict(PART.findall(told.stdout))
    assert len(parts) == len(told.stdout.splitlines())
    return parts


def test_each_test_that_is_marked_long_is_in_exactly_one_part():
    folders = [
        word
        for command in listed().values()
        if command.startswith("pytest -m long ")
        for word in command.split()[3:]
    ]
    assert all((ROOT / folder).exists() for folder in folders)
    marked = [
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "tests").rglob("test_*.py")
        if "pytest.mark.long" in path.read_text(encoding="utf-8")
        and path != Path(__file__)
    ]

    assert len(marked) > 15
    for path in marked:
        places = [f for f in folders if path == f or path.startswith(f"{f}/")]
        assert len(places) == 1, path


def test_each_rehearsal_is_a_part():
    commands = "\n".join(listed().values())

    assert all(f"tests.rehearsals {name}" in commands for name in NAMES)


def test_a_name_that_is_none_is_said():
    told = subprocess.run(
        [LONG, "brokers", "nothing"], capture_output=True, text=True, check=False
    )

    assert told.returncode == 2
    assert "nothing" in told.stderr
