"""Words that can be read the wrong way round stand nowhere that people read."""

import ast
import re
from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).parents[1]
VERDICT_IN_ORDER = (
    r"(?<!first )(?<!First )(?<!stands )\bin order(?!, not over)(?=[.;,]|$| \|)"
)

# What is said -> why it is not, and what is said instead.
FORBIDDEN = {
    r"keep an eye on": "monitor",
    VERDICT_IN_ORDER: "reads as fit to run: nothing found in the checks made",
    r"\b(meet|meets) (a|its|the|their|their first|its first) limit\b": "reads as "
    "compliance: reaches",
    r"\blimit (is|was|may be|will be) (met|passed)\b": "reads as compliance: reached",
    r"\bpass(es|ed)? (a|its|the) limit\b": "reads as a check that was passed: beyond",
    r"\b[Cc]hecks? (that was |was |were )?passed\b": "a check is made or not made",
    r"8 of 10 courses": "80 % of forecasts",
    r"\bno offer\b": "this is not a quotation",
    r"permission to run[.;,\"]": "does not authorise operation",
    r"governor runs faster": "the car runs slower, the governor is checked",
    r"[Cc]ontractor recommends": "a program's advice is the program's",
}
FORBIDDEN_IN_GERMAN = {
    r"\bChancen?\b": "Wahrscheinlichkeit",
    r"abhäng(en|t)\b": "reads as unhooking: unabhängig aufhängen und sichern",
    r"\bBegrenzer\b": "Geschwindigkeitsbegrenzer",
    r"weniger eins": "minus eins",
    r"\bBehebt\b": "promises a cure: Betrifft",
    r"nicht gesehen": "reads as nothing seen: nicht geprüft",
    r"Fehler der Haltegenauigkeit": "Halteabweichung",
    r"\bentlehnt": "entliehen",
    r"\b(ein|Ein) Tachometer": "Handtachometer",
    r"geht nicht auf": "reicht nicht aus",
    r"Auftragnehmer": "Fachfirma",
    r"sachkundig": "befähigte Person",
    r"Kranz, Steg": "Radscheibe",
    r"Papierabrieb\b": "Papierabreibung",
    r"beantwortet nicht": "genügt nicht für",
    r"fleckig": "ungleich hart",
}
# A permission to wait is said not to be one: these sentences may name it.
DENIED = re.compile(r"no permission to (run until|wait)")
ROOMS = (
    *("reports/composition", "reports/content", "reports/delivery"),
    *("inspections/reasons", "inspections/decisions", "inspections/urgent"),
    *("inspections/api", "fleet/demo", "fleet/platform/api"),
)


def sentences(path):
    """Yield the texts of a module that are no description of the code itself."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    own = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        is_text = isinstance(node, ast.Constant) and isinstance(node.value, str)
        if is_text and id(node) not in own:
            yield node.value


def catalogue(path, which):
    text = path.read_text(encoding="utf-8")
    return re.findall(rf'^{which}(?:_plural|\[\d\])? "(.+)"$', text, re.MULTILINE)


def described(found):
    """Yield the descriptions of the API, without the labels of stored codes."""
    if isinstance(found, dict):
        for key, value in found.items():
            if key in ("description", "summary") and isinstance(value, str):
                yield re.sub(r"^\* `.*$", "", value, flags=re.MULTILINE)
            else:
                yield from described(value)
    elif isinstance(found, list):
        for value in found:
            yield from described(value)


def places():
    for room in ROOMS:
        for path in sorted((ROOT / room).rglob("*.py")):
            yield str(path.relative_to(ROOT)), list(sentences(path))
    for app in ("fleet", "inspections", "reports"):
        for path in sorted((ROOT / app).rglob("templates/**/*.*")):
            yield str(path.relative_to(ROOT)), [path.read_text(encoding="utf-8")]
    documents = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]
    for path in documents:
        flowed = re.sub(r"\n(?=\S)(?![-*|#>])", " ", path.read_text(encoding="utf-8"))
        yield str(path.relative_to(ROOT)), flowed.splitlines()
    with (ROOT / "docs" / "openapi.yaml").open(encoding="utf-8") as file:
        yield "docs/openapi.yaml", list(described(yaml.safe_load(file)))


def said_wrongly(texts, forbidden):
    return [
        f"{found[0]!r} in {text[:120]!r}: {instead}"
        for text in texts
        for pattern, instead in forbidden.items()
        if (found := re.search(pattern, DENIED.sub("", text)))
    ]


@pytest.mark.parametrize(
    "text",
    [
        "in order",
        "gaivotas-2 | in order |",
        "A limit was passed on this machine.",
        "Chance that a limit is met before",
        "8 of 10 courses meet the limit between",
        "It is no inspection and no permission to run.",
    ],
)
def test_wrong_words_are_found(text):
    assert said_wrongly([text], FORBIDDEN)


@pytest.mark.parametrize(
    "text",
    ["First in order: regroove", "in order to", "a date is no permission to run until"],
)
def test_right_words_are_not(text):
    assert not said_wrongly([text], FORBIDDEN)


@pytest.mark.parametrize(
    ("where", "texts"), list(places()), ids=lambda found: str(found)[:60]
)
def test_no_wording_can_be_read_the_wrong_way_round(where, texts):
    assert texts or not where.endswith((".md", ".yaml"))
    assert said_wrongly(texts, FORBIDDEN) == []


@pytest.mark.parametrize("app", ["inspections", "reports"])
def test_no_german_wording_can_be_read_the_wrong_way_round(app):
    path = ROOT / app / "locale" / "de" / "LC_MESSAGES" / "django.po"
    texts = catalogue(path, "msgstr")

    assert len(texts) > 100
    assert said_wrongly(texts, FORBIDDEN_IN_GERMAN) == []
    assert said_wrongly(catalogue(path, "msgid"), FORBIDDEN) == []
