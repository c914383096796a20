"""Words that can be read the wrong way round stand nowhere that people read."""

import ast
import re
from pathlib import Path

import pytest
from django.utils import translation

from inspections import wording
from inspections.reasons import Code, because
from reports.composition import words as document_words
from tests import yaml_files

ROOT = Path(__file__).parents[1]
VERDICT_IN_ORDER = (
    r"(?<!first )(?<!First )(?<!stands )\bin order(?!, not over)(?=[.;,]|$| \|)"
)
THE = r"(the|its|a|their|any)"

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
    rf"\bpast {THE} limit\b": "a reading lies beyond it",
    r"\blimits? (is |are |was )?passed\b": "a limit is reached, a reading beyond it",
    r"\bP\d\d (is|was) passed\b": "exceeded",
    r"\btests? (of \S+ )?(that |which )?(is|was|were) passed\b": "the ropes held",
    r"\ba passed (field |slip |traction )?test\b": "one in which the ropes held",
    r"\b[Cc]hance that (a|the|its) limit is met\b": "reached",
    r"\b[Nn]o reading passed\b": "lies beyond",
    r"\b(at most|below) 1 wires\b": "at most 1 wire, no broken wire",
    r"\bWhat it is$": "machine data",
    r"\bof no use now\b": "no benefit now",
    r"[Hh]ow equal the seats": "seat depth differences",
    r"\bmissing hours to\b": 'no hours entered for "measure first"',
    r"\bat once; it was\b": "overdue since",
    r"[Ww]atching does not answer": "monitoring alone is not enough for",
    r"\btraction does not close with\b": "traction is insufficient with",
    r"\brim is one with the sheave": "rim and sheave are one piece",
    r"\bgauges? alone\b": "more than gauge error explains",
    r"[Ww]hoever approved the change": "name who approved it",
    r"\bof what holds is used\b": "of available traction used",
    r"[Pp]lan before: read again": "next reading before",
    r"\bnot allowed to you\b": "you do not have permission",
    r"\bis no (order|field) here\b": "cannot sort by, unknown field",
    r"[Tt]he content cannot be taken": "content not accepted",
    r"\bnobody of this id\b": "no person with this id",
    r"\b(it|this|It|This) is no inspection\b": "it is not an inspection",
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
    r"Grenze (bestanden|eingehalten)": "Grenze erreicht",
    r"Rouge: nichts|^nichts$": "nicht vorhanden",
    r"\bSpannung \[": "Seilkraft, wo eine Kraft steht",
    r"\bFarbe \(": "Farbeindringmittel",
    r"^Auge\b|\bAuge,": "Sichtprüfung",
    r"^Abrieb$|\bSchmutz\b": "Schmierspur",
    r"\b[Dd](es Stegs|ie Lage des Steges)": "the web is the Radscheibe",
    r"\bRundlauf (<|höchstens|unter)": "Rundlaufabweichung",
    r"Stromprüfung": "Stromaufnahmemessung",
    r"eingelegt\b": "eingelaufen",
    r"Standardabweichungen zu gering": "abzüglich zweier Standardabweichungen",
    r"Grenze unsicher": "mit Unsicherheit behaftet",
    r"^Tachometer|\bTachometer\b": "Handtachometer",
    r"Was sie ist": "Technische Daten",
    r"^Wörter$": "Begriffe",
    r"kam(en)? zu (ihrem|seinem) Ende": "lief ab",
    r"\bgeblieben\b": "beibehalten",
    r"\bNachweis\b": "Protokoll",
    r"Feststellung": "Befund",
    r"\bSchlupf\b": "Rutschen",
    r"Rutschversuch": "Rutschprüfung",
    r"[Rr]echnung geht auf|\baufgehen\b": "reicht aus",
    r"Prüfstelle": "zugelassener Prüfer",
    r"(dem|den|der|Kleinster|kleinster) Abstand (zur|bis zur) Grenze": "Reserve",
    r"In Ordnung\b|\bin Ordnung\b": "nichts gefunden in den Kontrollen",
    r"(?:[Ee]ine|[Dd]iese|[Jj]ede|[Aa]lle|andere[rn]?) Maschinen?\b": "Anlage",
    r"\bMaschinen? (außer|in) Betrieb\b": "Anlage",
}
# A permission to wait is said not to be one: these sentences may name it.
DENIED = re.compile(r"no permission to (run until|wait)")
ROOMS = (
    *("reports/composition", "reports/content", "reports/delivery"),
    *("inspections/reasons", "inspections/decisions", "inspections/urgent"),
    *("inspections/api", "fleet/demo", "fleet/platform/api"),
    *("inspections/kinds", "inspections/models", "inspections/worklist"),
    *("inspections/options", "inspections/planning", "inspections/stops"),
    *("inspections/releases", "inspections/intake", "inspections/completion"),
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


def in_code(room):
    """Yield what a room's modules say."""
    for path in sorted((ROOT / room).rglob("*.py")):
        yield path, list(sentences(path))


def in_templates(app):
    for path in sorted((ROOT / app).rglob("templates/**/*.*")):
        yield path, [path.read_text(encoding="utf-8")]


def in_documents(folder):
    for path in sorted((ROOT / folder).glob("*.md")):
        text = path.read_text(encoding="utf-8")
        yield path, re.sub(r"\n(?=\S)(?![-*|#>])", " ", text).splitlines()


def in_description(name):
    yield ROOT / name, list(described(yaml_files.description()))


# Read by the test itself: every worker collects, one of them looks.
PLACES = (
    *((in_code, room) for room in ROOMS),
    *((in_templates, app) for app in ("fleet", "inspections", "reports")),
    *((in_documents, folder) for folder in (".", "docs")),
    (in_description, "docs/openapi.yaml"),
)


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
        "clearance 0.1 mm, past the limit (at least 0.5 mm)",
        "limit passed",
        "the field test of 2026-05-20 was passed and decides",
        "a passed field test does not change that",
        "more than the gauges alone can show",
        "a quarter's P90 is passed in one of ten such quarters",
        "at most 1 wires",
        "no use: watching does not answer it",
    ],
)
def test_wrong_words_are_found(text):
    assert said_wrongly([text], FORBIDDEN)


@pytest.mark.parametrize(
    "text",
    [
        "Chance",
        "Fahrkorb abhängen",
        "Spannung [kN]",
        "nichts",
        "Offene Feststellungen",
        "die Rechnung geht auf",
        "Diese Maschine ist außer Betrieb",
        "ein Rutschversuch ist nötig",
        "auf dieser Seite des Stegs",
    ],
)
def test_wrong_german_words_are_found(text):
    assert said_wrongly([text], FORBIDDEN_IN_GERMAN)


@pytest.mark.parametrize(
    "text",
    ["First in order: regroove", "in order to", "a date is no permission to run until"],
)
def test_right_words_are_not(text):
    assert not said_wrongly([text], FORBIDDEN)


@pytest.mark.parametrize(
    ("read", "english", "german"),
    [
        ("held", "the ropes held", "die Seile hielten"),
        ("slipped", "the ropes slipped", "die Seile rutschten"),
        ("pass", "no defect seen", "kein Mangel gesehen"),
        ("not seen", "not looked at", "nicht geprüft"),
    ],
)
def test_what_is_read_is_not_said_by_its_stored_word(read, english, german):
    """A test that held must not print as a reading that is held back."""
    far = because(Code.FAR_FROM_LAST, word=read, last="defect")

    assert str(far).startswith(f"{english}, after")
    assert document_words.said(read) == english
    with translation.override("de"):
        assert wording.say(far).startswith(f"{german}, nach")
        assert document_words.said(read) == german


def test_an_unsafe_word_is_said_by_the_name_of_its_kind():
    slipped = because(Code.WORD_UNSAFE, kind="slip_seen", word="yes")
    form = because(Code.METHOD_FOR_FORM, form="UNDERCUT")

    assert wording.say(slipped) == "slip seen: yes"
    with translation.override("de"):
        assert wording.say(slipped) == "Rutschen gesehen: ja"
        assert "UNDERCUT" not in wording.say(form)


@pytest.mark.parametrize(("read", "where"), PLACES)
def test_no_wording_can_be_read_the_wrong_way_round(read, where):
    found = list(read(where))

    assert found
    for path, texts in found:
        assert texts or path.suffix not in (".md", ".yaml"), path
        assert said_wrongly(texts, FORBIDDEN) == [], path


@pytest.mark.parametrize("app", ["fleet", "inspections", "reports"])
def test_no_german_wording_can_be_read_the_wrong_way_round(app):
    path = ROOT / app / "locale" / "de" / "LC_MESSAGES" / "django.po"
    texts = catalogue(path, "msgstr")

    assert len(texts) > 100
    assert said_wrongly(texts, FORBIDDEN_IN_GERMAN) == []
    assert said_wrongly(catalogue(path, "msgid"), FORBIDDEN) == []
