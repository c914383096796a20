"""The scripts of the field page: small, whole, and the library what it says it is."""

import gzip
import hashlib
import json
import re
from pathlib import Path

from inspections.kinds import KINDS

FIELD = Path("inspections/static/field")
# What the server says in English is said by its code in German.
BY_CODE = ": "
SERVER = (
    "inspections/intake",
    "inspections/photos",
    "fleet/platform/access/pairing.py",
    "fleet/platform/api/field_cookie.py",
    "fleet/platform/api/limits.py",
    "fleet/platform/units.py",
    "fleet/register/api/field.py",
)
LIBRARY = FIELD / "idb.js"


def test_scripts_and_words_together_stay_small():
    scripts = [path.read_text(encoding="utf-8") for path in FIELD.glob("*.js")]
    # Types and reasons are for whoever reads them; there is no build to take them out.
    comment = re.compile(r"/\*\*.*?\*/|^\s*//.*?$|^\s+", re.DOTALL | re.MULTILINE)
    code = sum(len(comment.sub("", each).encode()) for each in scripts)
    words = (FIELD / "words.de.json").read_text(encoding="utf-8")
    sent = sum(len(gzip.compress(each.encode())) for each in scripts)

    assert code < 84_000
    assert sent < 42_000
    assert len(gzip.compress(words.encode())) < 12_000


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


def test_each_kind_that_is_drawn_has_its_drawing_and_each_drawing_its_kind():
    entry = (FIELD / "entry.js").read_text(encoding="utf-8")
    [listed] = re.findall(r"const DRAWN = \[(.*?)\];", entry, re.DOTALL)
    [shared] = re.findall(r"const SHARED = .*?\(\{(.*?)\}\);", entry, re.DOTALL)
    drawn = set(re.findall(r'"(\w+)"', listed))
    aliases = dict(re.findall(r'(\w+): "(\w+)"', shared))

    assert drawn == {path.stem for path in (FIELD / "drawings").glob("*.svg")}
    assert drawn | set(aliases) <= set(KINDS)
    assert set(aliases.values()) <= drawn
    assert not drawn & set(aliases)


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


def test_each_sentence_of_the_field_page_has_its_german():
    german = json.loads((FIELD / "words.de.json").read_text(encoding="utf-8"))
    said = {"rope", "groove"}
    for path in FIELD.glob("*.js"):
        text = path.read_text(encoding="utf-8")
        said |= set(re.findall(r'\bt\("((?:[^"\\]|\\.)*)"', text))

    assert said == {each for each in german if not each.startswith(BY_CODE)}
    for english, own in german.items():
        if english.startswith(BY_CODE):
            continue
        names = re.compile(r"\{\w+\}")
        assert sorted(names.findall(english)) == sorted(names.findall(own)), english


def test_each_code_by_which_the_server_refuses_a_phone_has_its_german():
    german = json.loads((FIELD / "words.de.json").read_text(encoding="utf-8"))
    files = [
        file
        for place in map(Path, SERVER)
        for file in ([place] if place.is_file() else sorted(place.glob("*.py")))
    ]
    codes = {
        code
        for file in files
        for code in re.findall(
            r'\b(?:default_)?code(?:: str)? ?= ?"([a-z-]+)"', file.read_text("utf-8")
        )
    }
    mailing = Path("inspections/urgent/mailing.py").read_text("utf-8")
    codes |= {f"told-{code}" for code in re.findall(r'Telling\(code="(\w+)"', mailing)}
    known = {each.removeprefix(BY_CODE) for each in german if each.startswith(BY_CODE)}

    assert len(codes) > 30
    assert codes == known
