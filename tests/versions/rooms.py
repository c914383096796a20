"""Rooms whose source decides a result, their versions, and the ledger of both."""

import ast
import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LEDGER = "tests/versions/ledger.txt"
RAISED = "inspections/versions/raised.py"

# Room -> folders and modules. What stands in two rooms is not looked for: a result
# that rests on another room names that room's version too.
# Reasons are in no room: they name and word results, and decide none.
ROOMS: Mapping[str, tuple[str, ...]] = {
    "judging": (
        "inspections/engineering",
        "inspections/kinds",
        "inspections/inputs",
        "inspections/assessment",
    ),
    "forecasting": ("inspections/projection", "inspections/forecasts"),
    "deciding": (
        "inspections/decisions",
        "inspections/options",
        "inspections/condition.py",
    ),
    "reporting": ("reports/content", "reports/composition"),
}
# Rooms of which a thousand machines are judged by old and new code.
COMPARED = ("judging", "forecasting", "deciding")
_HEAD = """\
# Which source each version stands for; written by `python -m tests.versions`.
# After a conflict: any of its commands writes the whole file anew.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """The version of each room, and the fingerprint of each module."""

    versions: Mapping[str, int]
    modules: Mapping[str, str]

    @property
    def text(self) -> str:
        """The file's text: a line that never changes parts any two that may."""
        rooms = [f"{room}\n    {number}" for room, number in self.versions.items()]
        lines = [f"{path}\n    {mark}" for path, mark in sorted(self.modules.items())]
        return "\n".join([_HEAD, *rooms, "", *lines, ""])

    def of_room(self, room: str) -> dict[str, str]:
        """Return the modules of a room with their fingerprints."""
        return {p: mark for p, mark in self.modules.items() if room_of(p) == room}


def read(text: str) -> Ledger:
    """Return what a ledger's text says. Raises ValueError for a conflict in it."""
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    names, values = lines[::2], lines[1::2]
    if len(names) != len(values) or any(not v.startswith("    ") for v in values):
        raise ValueError(f"{LEDGER} cannot be read")
    pairs = {name: value.strip() for name, value in zip(names, values, strict=True)}
    return Ledger(
        versions={room: int(pairs.pop(room)) for room in ROOMS if room in pairs},
        modules=pairs,
    )


def present() -> Ledger:
    """Return the ledger as the source of now would have it."""
    from inspections import versions

    return Ledger(
        versions={room: getattr(versions, room.upper()) for room in ROOMS},
        modules={
            path.relative_to(ROOT).as_posix(): fingerprint(path.read_text("utf-8"))
            for room in ROOMS
            for path in _modules(room)
        },
    )


def room_of(path: str) -> str:
    """Return the room that a module is of; "" for one that is of none."""
    for room, places in ROOMS.items():
        if any(path == place or path.startswith(f"{place}/") for place in places):
            return room
    return ""


def fingerprint(source: str) -> str:
    """Return a fingerprint of source without comments, docstrings and format."""
    tree = ast.parse(source)
    for node in ast.walk(tree):
        if isinstance(node, _WITH_DOCSTRING) and ast.get_docstring(node) is not None:
            node.body = node.body[1:]
    said = ast.dump(tree, include_attributes=False)
    return hashlib.sha256(said.encode()).hexdigest()[:16]


_WITH_DOCSTRING = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)


def faults(*, written: Ledger, now: Ledger) -> Iterator[str]:
    """Yield what does not fit, each with the command that mends it."""
    for room in ROOMS:
        before, after = written.versions.get(room, 0), now.versions[room]
        old, new = written.of_room(room), now.of_room(room)
        paths = sorted(p for p in old | new if old.get(p) != new.get(p))
        named = ", ".join(paths[:3]) + (" and more" if len(paths) > 3 else "")
        if after < before:
            yield (
                f"{room}: version {after} is behind the ledger's {before}: lines of "
                f"{RAISED} were taken away; put them back"
            )
        elif after > before:
            yield f"{room}: raised to {after}; `python -m tests.versions record`"
        elif paths:
            yield (
                f"{room}: {named} changed under version {after}; if another result is "
                f'possible: `python -m tests.versions raise {room} "what changed"`, '
                f"else `python -m tests.versions refactor {room}`"
            )


def _modules(room: str) -> Iterator[Path]:
    for place in ROOMS[room]:
        path = ROOT / place
        yield from sorted(path.rglob("*.py")) if path.is_dir() else (path,)
