"""What the documents claim, held against the project itself."""

import ast
import re
import subprocess
import tomllib
from collections import defaultdict
from pathlib import Path

import pytest

from inspections.engineering import criteria
from inspections.engineering.criteria.traction_terms import traction_source
from inspections.engineering.source import Certainty, Source

ROOT = Path(__file__).parents[1]
DOCUMENTS = sorted(
    [ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").rglob("*.md")]
)

# Patterns, written so that none of them finds itself.
FORBIDDEN = {
    "a package registry's host": (r"pypi\.", r"pythonhosted\."),
    "a folder of the machine it was written on": (r"(?<![\w/])/" + "work/",),
    "what the project was made from": (
        r"\b(trade|reliability|readings|style|design)\.md\b",
        r"\bthe talk\b",
        r"\btrans" + r"cripts?\b",
    ),
}
# Texts of others, taken in as they are, and bytes.
NOT_OURS = {".ttf", ".png", ".pdf"}


def text(name):
    return (ROOT / name).read_text(encoding="utf-8")


def section(name, heading):
    """Return what stands under a heading of the second rank."""
    parts = re.split(r"^## (.+)$", text(name), flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))[heading]


def fenced(words, language):
    return re.findall(rf"^```{language}\n(.*?)^```", words, re.MULTILINE | re.DOTALL)


def environment_names(path):
    """Return the variables a module reads through fleet.platform.env."""
    return set(re.findall(r'env_\w+\(\s*"([A-Z_]+)"', text(path)))


def direct_dependencies():
    project = tomllib.loads(text("pyproject.toml"))["project"]
    every = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    return {re.split(r"[<>=~!\[; ]", one, maxsplit=1)[0] for one in every}


def committed_files():
    done = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=False
    )
    if done.returncode:
        pytest.skip("this copy of the project is no git clone")
    paths = [ROOT / name for name in done.stdout.decode().split("\0") if name]
    return [p for p in paths if p.suffix not in NOT_OURS and p.is_file()]


def test_quick_start_has_two_commands_and_nothing_else():
    commands = fenced(section("README.md", "Quick start"), "[a-z]*")

    assert len(commands) == 2
    assert all(command.count("\n") == 1 for command in commands)
    assert fenced(section("README.md", "Quick start"), "sh") == commands


def test_quick_start_names_files_that_exist():
    commands = " ".join(fenced(section("README.md", "Quick start"), "sh"))
    named = re.findall(r"-r (\S+)", commands) + re.findall(
        r"python (\S+\.py)", commands
    )

    assert named == ["requirements.txt", ".ci/requirements.txt", "manage.py"]
    assert all((ROOT / name).is_file() for name in named)


@pytest.mark.parametrize(
    "path", ["fleet/project/settings.py", "fleet/embedded/configuration.py"]
)
def test_every_variable_is_in_operations(path):
    names = environment_names(path)
    missing = {n for n in names if f"`{n}`" not in text("docs/operations.md")}

    assert names
    assert not missing


def test_no_variable_of_the_settings_is_told_that_nobody_reads():
    rows = re.findall(r"^\| (`[A-Z_`, ]+) \|", text("docs/operations.md"), re.MULTILINE)
    tables = re.findall(r"`((?!ROPESEAT)[A-Z_]+)`", " ".join(rows))
    read = environment_names("fleet/project/settings.py")
    read |= environment_names("fleet/embedded/configuration.py")
    others = {"DJANGO_SETTINGS_MODULE", "DEMO_DIRECTORY"}

    assert set(tables) - others == read


def test_every_direct_dependency_has_its_reason():
    tables = [section("docs/dependencies.md", each) for each in ("To run", "To test")]
    told = re.findall(r"^\| ([a-z-]+)", "".join(tables), re.MULTILINE)

    assert direct_dependencies() <= set(told)
    assert set(told) - {"package", "---"} <= direct_dependencies()


def test_every_dependency_is_told_with_the_version_that_is_pinned():
    pinned = re.findall(
        r"^([a-z-]+)==(\S+)", text(".ci/requirements.txt"), re.MULTILINE
    )
    told = dict(
        re.findall(
            r"^\| ([a-z-]+)(?:\[\w+\])? \| ([0-9., ]+) \|",
            text("docs/dependencies.md"),
            re.MULTILINE,
        )
    )
    wrong = {
        (name, version)
        for name, version in pinned
        if name in told and version not in told[name].split(", ")
    }

    assert not wrong


def sources_beside_values():
    """Return the name and the certainty of each Source that a kernel writes out."""
    kernel = ROOT / "inspections" / "engineering"
    for path in kernel.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "Source":
                given = {each.arg: each.value for each in node.keywords}
                if not isinstance(given["document"], ast.Constant):
                    continue  # that of the traction rules, which are asked themselves
                certainty = Certainty[ast.unparse(given.pop("certainty")).split(".")[1]]
                named = {key: ast.literal_eval(value) for key, value in given.items()}
                yield source_name(Source(**named, certainty=certainty)), certainty
    for each in criteria.ALL:
        source = traction_source(rules=each.traction)
        yield source_name(source), source.certainty


def source_name(source):
    return source.text.removesuffix(f" ({source.certainty})")


def test_every_value_is_as_sure_as_sources_says():
    section_words = section("docs/sources.md", "What stands beside the values")
    rows = re.findall(r"^\| (.+?) \| (.+?) \| .+ \|$", section_words, re.MULTILINE)
    told = [row for row in rows if row[0] not in ("source", "---")]
    beside = {(name, str(certainty)) for name, certainty in sources_beside_values()}

    assert len(told) == len(set(told)) > 35
    assert set(told) == beside


def test_every_word_for_certainty_is_explained():
    explained = section("docs/sources.md", "The status words")

    assert re.findall(r"^\| \*\*(.+)\*\*", explained, re.MULTILINE) == list(Certainty)


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda p: str(p.relative_to(ROOT)))
def test_links_lead_to_files(path):
    words = path.read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)#]+?)(?:#[^)]*)?\)", words)
    dead = [
        link
        for link in links
        if "://" not in link and not (path.parent / link).exists()
    ]

    assert not dead


# It tells what was called so at the time.
OF_THEN = ("docs/changelog.md",)
# Names of files, and the queue celery.dead, look like names in modules.
OTHER_DOTTED = {
    *("csv", "dead", "js", "json", "jsonl", "md", "pdf", "po", "py", "txt", "yaml")
}
OF_NOW = [path for path in DOCUMENTS if str(path.relative_to(ROOT)) not in OF_THEN]


@pytest.mark.parametrize("path", OF_NOW, ids=lambda p: str(p.relative_to(ROOT)))
def test_paths_between_backticks_exist(path):
    tops = ("fleet/", "inspections/", "reports/", "tests/", "docs/", "fixtures/")
    named = re.findall(r"`([\w./-]+)`", path.read_text(encoding="utf-8"))
    gone = [p for p in named if p.startswith(tops) and not (ROOT / p).exists()]

    assert not gone


def names_by_module():
    """Return what each module's text names, by the module's own last name."""
    of = defaultdict(set)
    for app in ("fleet", "inspections", "reports", "tests"):
        for path in (ROOT / app).rglob("*.py"):
            room = path.parent.name if path.stem == "__init__" else path.stem
            of[room] |= set(re.findall(r"\w+", path.read_text(encoding="utf-8")))
            of[path.parent.name].add(path.stem)
    return of


def test_modules_and_classes_between_backticks_are_called_so():
    of = names_by_module()
    every = set().union(*of.values())
    gone = []
    for path in OF_NOW:
        words = path.read_text(encoding="utf-8")
        for room, name in re.findall(r"`(?:\w+\.)*(\w+)\.(\w+)(?:\(.*?\))?`", words):
            if room in of and name not in of[room] | OTHER_DOTTED:
                gone.append(f"{path.name}: {room}.{name}")
        for name in re.findall(r"`((?:[A-Z][a-z]+){2,})`", words):
            if name not in every:
                gone.append(f"{path.name}: {name}")

    assert len(every) > 5_000
    assert not gone


def test_pictures_are_small():
    pictures = list((ROOT / "docs/images").glob("*.png"))

    assert len(pictures) >= 4
    assert all(path.stat().st_size < 250_000 for path in pictures)


@pytest.mark.parametrize("what", FORBIDDEN)
def test_no_committed_file_names(what):
    found = [
        (str(path.relative_to(ROOT)), word)
        for path in committed_files()
        for word in FORBIDDEN[what]
        if re.search(word, path.read_text(encoding="utf-8", errors="replace").lower())
    ]

    assert not found
