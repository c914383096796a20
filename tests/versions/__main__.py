"""The ledger of versions: `check`, `raise ROOM WHY`, `refactor ROOM`, `record`.

raise     another result is possible: the room's version goes up by one
refactor  the same results: proven on a thousand machines against the commit that wrote
          the ledger last, then recorded
record    rooms that were raised, after a merge of two who raised at once
"""

import argparse
import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.versions import rooms
from tests.versions.rooms import COMPARED, LEDGER, RAISED, ROOMS, ROOT, Ledger

OUTPUTS = ROOT / "tests/versions/outputs.py"


def main(words: list[str]) -> int:
    """Do what the command says; return what the shell is told."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.versions",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    commands = parser.add_subparsers(dest="command", required=True)
    commands.add_parser("check")
    commands.add_parser("record")
    up = commands.add_parser("raise")
    up.add_argument("room", choices=ROOMS)
    up.add_argument("why", help="what changed, in a few words")
    same = commands.add_parser("refactor")
    same.add_argument("room", choices=COMPARED, nargs="+")
    said = parser.parse_args(words)
    if said.command == "raise":
        put_up(room=said.room, why=said.why)
    elif said.command == "refactor":
        differing = compare(names=said.room)
        if differing:
            print("\n".join(differing), file=sys.stderr)
            return 1
    if said.command != "check":
        named = {"raise": [said.room], "refactor": said.room} if words[1:] else {}
        write(rooms_proven=named.get(said.command, []))
    found = list(rooms.faults(written=written(), now=rooms.present()))
    print("\n".join(found) or "every version fits its source")
    return 1 if found else 0


def put_up(*, room: str, why: str) -> None:
    """Write a line that raises a room's version."""
    path = ROOT / RAISED
    lines = path.read_text("utf-8").splitlines()
    start = next(n for n, line in enumerate(lines) if line.startswith(room.upper()))
    end = next(n for n, line in enumerate(lines[start:], start) if line == ")")
    said = " ".join(why.split()).replace("\\", "").replace('"', "'")
    lines.insert(end, f'    "{said[:80]}",')
    path.write_text("\n".join(lines) + "\n", "utf-8")


def written() -> Ledger:
    """Return the ledger that stands; that of the commit where a conflict is in it."""
    try:
        return rooms.read((ROOT / LEDGER).read_text("utf-8"))
    except (ValueError, FileNotFoundError):
        return rooms.read(_git("show", f"HEAD:{LEDGER}"))


def write(*, rooms_proven: list[str]) -> None:
    """Write the ledger; a room that is neither raised nor proven keeps its lines."""
    before, now = written(), rooms.present()
    versions, modules = dict(before.versions), {}
    for room in ROOMS:
        is_raised = now.versions[room] > before.versions.get(room, 0)
        is_taken = is_raised or room in rooms_proven
        modules |= (now if is_taken else before).of_room(room)
        versions[room] = now.versions[room] if is_taken else before.versions[room]
    ledger = Ledger(versions=versions, modules=modules)
    (ROOT / LEDGER).write_text(ledger.text, "utf-8")


def compare(*, names: list[str]) -> list[str]:
    """Return how the answers of now differ from those that the ledger stands for."""
    commit = _git("log", "-1", "--format=%H", "--", LEDGER).strip()
    with tempfile.TemporaryDirectory() as folder:
        archive = Path(folder, "tree.tar")
        _git("archive", "--output", str(archive), commit)
        tree = Path(folder, "tree")
        tree.mkdir()
        subprocess.run(["tar", "-xf", archive, "-C", tree], check=True)
        runs = [_start(root, names) for root in (tree, ROOT)]
        try:
            old, new = [_end(run) for run in runs]
        except RuntimeError as error:
            return [f"not comparable with {commit[:10]}, so raise the version: {error}"]
    return [line for room in names for line in _differences(room, old, new, commit)]


def _differences(
    room: str, old: dict[str, list[str]], new: dict[str, list[str]], commit: str
) -> list[str]:
    pairs = list(zip(old[room], new[room], strict=False))
    places = [str(at) for at, (a, b) in enumerate(pairs) if a != b]
    if len(old[room]) != len(new[room]):
        places.append("their number")
    if not places:
        return []
    first = ", ".join(places[:5])
    return [
        f"{room}: {len(places)} of {len(pairs)} answers differ from {commit[:10]} "
        f"(first: {first}; tests.versions.cases.case(NUMBER) gives the machine)"
    ]


def _start(root: Path, names: list[str]) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(OUTPUTS), str(root), *names],
        cwd=root,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def _end(run: subprocess.Popen[str]) -> dict[str, list[str]]:
    out, err = run.communicate()
    if run.returncode:
        raise RuntimeError(re.sub(r"\s+", " ", err[-300:]))
    answers: dict[str, list[str]] = json.loads(out)
    return answers


def _git(*words: str) -> str:
    done = subprocess.run(
        ["git", *words], cwd=ROOT, check=True, capture_output=True, text=True
    )
    return done.stdout


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
