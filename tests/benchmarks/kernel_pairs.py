"""How fast is the kernel beside that of an earlier commit, in one run?

`python -m tests.benchmarks.kernel_pairs --since COMMIT`. Both store the same machines,
each in a process and a database of its own, and are asked for their kernel in turns;
what counts is the processes' own time, so that other work on the machine disturbs
little. Whether all findings are the same to the last digit is told beside: rules that
were changed since then make others. A clone without history has nothing to compare
with.
"""

import argparse
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from statistics import median
from typing import IO, Any

from tests.benchmarks import running

ROOT = Path(__file__).resolve().parents[2]
SIDE = Path(__file__).with_name("kernel_side.py")
# The commit before the kernel was looked at for its speed.
SINCE = "b23c04ff"
NO_HISTORY = "no history"
MACHINES, ROUNDS = 60, 7


def measure(
    *, since: str = SINCE, machines: int = MACHINES, rounds: int = ROUNDS
) -> running.Figures:
    """Return how many times faster the kernel is, and whether all findings are same.

    Raises RuntimeError where a side gives no answer, which says what is wrong.
    """
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder, "tree")
        if not _taken_out(since, tree):
            return {"kernel_speedup": NO_HISTORY}
        sides = [_start(root, machines) for root in (tree, ROOT)]
        try:
            before, after = (_line(side) for side in sides)
            pairs = [tuple(_seconds(side) for side in sides) for _ in range(rounds)]
        finally:
            for side in sides:
                # Nothing comes in any more: it takes its database away and ends.
                side.communicate()
    old, new = zip(*pairs, strict=True)
    return {
        "kernel_speedup": round(median(a / b for a, b in pairs), 2),
        "kernel_since": since,
        "kernel_seconds_before": round(median(old), 3),
        "kernel_seconds_now": round(median(new), 3),
        "kernel_findings_same": before == after,
    }


def _taken_out(commit: str, tree: Path) -> bool:
    """Put a commit's files into a folder; return whether there is such a commit."""
    tree.mkdir()
    packed = tree.with_suffix(".tar")
    words = ["git", "archive", "--output", str(packed), commit]
    try:
        done = subprocess.run(words, cwd=ROOT, capture_output=True, check=False)
    except FileNotFoundError:
        return False
    if done.returncode:
        return False
    subprocess.run(["tar", "-xf", packed, "-C", tree], check=True)
    return True


def _start(root: Path, machines: int) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, str(SIDE), str(root), str(machines)],
        cwd=root,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )


def _seconds(side: subprocess.Popen[str]) -> float:
    given: IO[str] | None = side.stdin
    assert given is not None
    given.write("again\n")
    given.flush()
    return float(_line(side))


def _line(side: subprocess.Popen[str]) -> str:
    assert side.stdout is not None
    line = side.stdout.readline().strip()
    if not line:
        raise RuntimeError(f"a side ended: {side.args!r}")
    return line


def main(words: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__, epilog=running.QUIET)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--since", default=SINCE, help="the commit to compare with")
    parser.add_argument("--machines", type=int, default=MACHINES)
    parser.add_argument("--rounds", type=int, default=ROUNDS)
    given = parser.parse_args(words)
    found: dict[str, Any] = measure(
        since=given.since, machines=given.machines, rounds=given.rounds
    )
    running.tell(found, as_json=given.json, width=24)


if __name__ == "__main__":
    main()
