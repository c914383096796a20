"""How large is the house? ``python -m tests.benchmarks.house [FOLDER]``

Modules of the three apps without migrations, their lines, functions of more than 60
lines, docstrings included and left out, and classes of which several modules have one
of the same name. Of this folder, or of another one with the project in it.
"""

import argparse
import ast
import json
from collections import defaultdict
from pathlib import Path

APPS = ("fleet", "inspections", "reports")
LONG = 60


def count(*, folder: Path) -> dict[str, int]:
    """Return the counts of a folder that holds the apps."""
    found = dict.fromkeys(("modules", "lines", "long", "long_without_docstrings"), 0)
    homes: dict[str, set[Path]] = defaultdict(set)
    for path in sorted(p for app in APPS for p in (folder / app).rglob("*.py")):
        if "migrations" in path.parts:
            continue
        text = path.read_text(encoding="utf-8")
        tree = ast.parse(text)
        found["modules"] += 1
        found["lines"] += len(text.splitlines())
        for each in ast.walk(tree):
            if isinstance(each, ast.FunctionDef | ast.AsyncFunctionDef):
                found["long"] += _lines(each) > LONG
                told = _lines(each.body[0]) if ast.get_docstring(each) else 0
                found["long_without_docstrings"] += _lines(each) - told > LONG
        for each in tree.body:
            # Django finds commands by this name.
            if isinstance(each, ast.ClassDef) and each.name != "Command":
                homes[each.name].add(path)
    shared = [each for each in homes.values() if len(each) > 1]
    return found | {
        "shared_names": len(shared),
        "classes_sharing": sum(map(len, shared)),
    }


def _lines(node: ast.stmt) -> int:
    return (node.end_lineno or node.lineno) - node.lineno + 1


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", nargs="?", type=Path, default=Path())
    print(json.dumps(count(folder=parser.parse_args().folder), indent=1))
