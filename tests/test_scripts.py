"""The scripts of the field page: small, whole, and the library what it says it is."""

import hashlib
import json
import re
from pathlib import Path

FIELD = Path("inspections/static/field")
LIBRARY = FIELD / "idb.js"


def test_all_scripts_together_are_under_sixty_kilobytes():
    sizes = {path.name: path.stat().st_size for path in FIELD.glob("*.js")}

    assert sum(sizes.values()) < 60_000, sizes


def test_the_library_is_the_file_that_its_makers_released():
    listed = Path("docs/dependencies.md").read_text(encoding="utf-8")
    row = next(line for line in listed.splitlines() if str(LIBRARY) in line)
    lock = json.loads(Path(".ci/package-lock.json").read_text(encoding="utf-8"))
    version = lock["packages"]["node_modules/idb"]["version"]

    assert hashlib.sha256(LIBRARY.read_bytes()).hexdigest() in row
    assert f"idb {version}," in row
    assert "ISC License" in (FIELD / "idb.LICENSE.txt").read_text(encoding="utf-8")


def test_the_library_is_that_of_the_package_whose_types_are_checked():
    installed = Path(".ci/node_modules/idb/build/umd.js")

    # Where types are not checked there is nothing to compare with.
    if installed.exists():
        assert installed.read_bytes() == LIBRARY.read_bytes()


def test_no_script_has_text_evaluated_or_markup_parsed():
    forbidden = re.compile(
        r"innerHTML|outerHTML|insertAdjacentHTML|eval\(|new Function|document\.write"
    )

    found = {
        path.name
        for path in FIELD.glob("*.js")
        if path != LIBRARY and forbidden.search(path.read_text(encoding="utf-8"))
    }

    assert not found
