"""How large is the house? ``python -m tests.benchmarks.house [FOLDER] [--which]``

Modules of the three apps without migrations, their lines, functions of more than 60
lines, docstrings included and left out, and classes of which several modules have one
of the same name. Of this folder, or of another one with the project in it. With
``--which`` the long functions and the names that are shared, instead.
"""

import argparse
import ast
import json
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

APPS = ("fleet", "inspections", "reports")
LONG = 60


def count(*, folder: Path) -> dict[str, int]:
    """Return the counts of a folder that holds the apps."""
    found = dict.fromkeys(("modules", "lines", "long", "long_without_docstrings"), 0)
    for path, tree in _modules(folder):
        found["modules"] += 1
        found["lines"] += len(path.read_text(encoding="utf-8").splitlines())
        for each in _long(tree):
            found["long"] += 1
            told = _lines(each.body[0]) if ast.get_docstring(each) else 0
            found["long_without_docstrings"] += _lines(each) - told > LONG
    shared = _shared(folder).values()
    return found | {
        "shared_names": len(shared),
        "classes_sharing": sum(map(len, shared)),
    }


def which(*, folder: Path) -> dict[str, list[str]]:
    """Return the long functions by their modules, and the modules of shared names."""
    found = {name: sorted(map(str, homes)) for name, homes in _shared(folder).items()}
    for path, tree in _modules(folder):
        for each in _long(tree):
            found.setdefault(str(path), []).append(f"{each.name}: {_lines(each)} lines")
    return found


def _modules(folder: Path) -> Iterator[tuple[Path, ast.Module]]:
    for path in sorted(p for app in APPS for p in (folder / app).rglob("*.py")):
        if "migrations" not in path.parts:
            yield path, ast.parse(path.read_text(encoding="utf-8"))


def _long(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for each in ast.walk(tree):
        is_function = isinstance(each, ast.FunctionDef | ast.AsyncFunctionDef)
        if is_function and _lines(each) > LONG:
            yield each


def _shared(folder: Path) -> dict[str, set[Path]]:
    homes: dict[str, set[Path]] = defaultdict(set)
    for path, tree in _modules(folder):
        for each in tree.body:
            # Django finds commands by this name.
            if isinstance(each, ast.ClassDef) and each.name != "Command":
                homes[each.name].add(path)
    return {name: paths for name, paths in homes.items() if len(paths) > 1}


def _lines(node: ast.stmt) -> int:
    return (node.end_lineno or node.lineno) - node.lineno + 1


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", nargs="?", type=Path, default=Path())
    parser.add_argument("--which", action="store_true")
    given = parser.parse_args()
    print(json.dumps((which if given.which else count)(folder=given.folder), indent=1))
