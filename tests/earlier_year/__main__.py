"""A year that an earlier version has lived, upgraded and judged by today's rules.

    python -m tests.earlier_year COMMIT [--json]

Takes an earlier version out of the repository, lets it live a year of the demo's
machines on a server of its own, migrates its tables with today's code, judges every
machine anew, and compares grades and findings by topic and place. It ends with 1 where
an upgraded row is not what it was, or where a difference is none of the documented ones
(`tests/earlier_year/documented.py`).
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests import environment  # noqa: F401  Fills the environment for Django.
from tests.earlier_year import comparing

ROOT = Path(__file__).resolve().parents[2]
LIVED = Path(__file__).with_name("lived.py")


def main(words: list[str]) -> int:
    """Live, upgrade, judge and compare; return what the shell is told."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.earlier_year",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("commit", help="the version that lives the year")
    parser.add_argument("--json", action="store_true", help="print one object")
    given = parser.parse_args(words)
    import django

    django.setup()
    from tests import database

    with database.server(), tempfile.TemporaryDirectory() as folder:
        database.create_empty()
        try:
            tree = _taken_out(given.commit, Path(folder))
            started = time.perf_counter()
            lived = _run("live", tree)
            between = time.perf_counter()
            judged = _run("judge", ROOT)
            ended = time.perf_counter()
        finally:
            database.drop()
    figures = comparing.compared(lived, judged) | {
        "commit": given.commit,
        "seconds_lived": round(between - started, 1),
        "seconds_upgraded_and_judged": round(ended - between, 1),
    }
    lines = (
        [json.dumps(figures, indent=1)] if given.json else comparing.in_words(figures)
    )
    sys.stdout.write("\n".join((*lines, "")))
    return 1 if figures["unexpected"] or figures["changed_by_upgrade"] else 0


def _taken_out(commit: str, folder: Path) -> Path:
    """Put the files of a commit into a folder."""
    packed = subprocess.run(
        ["git", "archive", commit], cwd=ROOT, capture_output=True, check=True
    ).stdout
    subprocess.run(["tar", "x", "-C", str(folder)], input=packed, check=True)
    return folder


def _run(what: str, tree: Path) -> comparing.Told:
    """Run the script in a tree of files; return what it tells."""

    done = subprocess.run(
        [sys.executable, "-W", "ignore", str(LIVED), what],
        cwd=tree,
        env=os.environ | {"PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    told: comparing.Told = json.loads(done.stdout)
    return told


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
