"""German is complete, and numbers and days are written as its readers write them."""

import ast
import gettext
import re
from dataclasses import fields
from pathlib import Path

import pytest
from django.utils import translation

from fleet.register.choices import DriveKind, RopeCore, WorkKind, Wrap
from inspections.decisions.records import SHOWN, Option
from inspections.engineering.groove import FORMS
from inspections.engineering.source import Certainty
from inspections.forecasts import loading
from inspections.kinds import KINDS, PLACE_VALUES
from inspections.models import ForecastState, ReadingState, VisitKind
from inspections.reasons import Topic
from reports import content
from reports.composition import readings as printed_readings
from reports.composition.reader import Reader
from reports.composition.topics import TOPICS
from reports.content import Wording
from tests.reports.machine_readings import readings
from tests.reports.orders import NOW, asked, made

REPORTS = Path(__file__).resolve().parents[3] / "reports"
GERMAN = REPORTS / "locale" / "de" / "LC_MESSAGES"
INSPECTIONS = REPORTS.parent / "inspections" / "locale" / "de" / "LC_MESSAGES"
FLEET = REPORTS.parent / "fleet" / "locale" / "de" / "LC_MESSAGES"
MARKS = {"_", "gettext", "gettext_noop", "gettext_lazy", "ngettext"}


def calls():
    """Yield (file, node, texts) of every marked text in the app."""
    for path in REPORTS.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                continue
            if node.func.id in MARKS:
                count = 2 if node.func.id == "ngettext" else 1
                texts = [
                    argument.value
                    for argument in node.args[:count]
                    if isinstance(argument, ast.Constant)
                ]
                yield path.name, node, texts


@pytest.fixture(scope="module")
def of_reports():
    with (GERMAN / "django.mo").open("rb") as file:
        return gettext.GNUTranslations(file)


@pytest.fixture(scope="module")
def german(of_reports, of_inspections):
    """Return all catalogues as one, as Django reads them."""
    with (FLEET / "django.mo").open("rb") as file:
        whole = gettext.GNUTranslations(file)
    for own in (of_inspections, of_reports):
        whole._catalog |= own._catalog
    return whole


@pytest.fixture(scope="module")
def of_inspections():
    with (INSPECTIONS / "django.mo").open("rb") as file:
        return gettext.GNUTranslations(file)


def is_known(german, text):
    return text in german._catalog or (text, 0) in german._catalog


def test_no_text_is_translated_twice(of_reports, of_inspections):
    assert set(of_reports._catalog) & set(of_inspections._catalog) == {""}


def test_every_marked_text_has_its_german(german):
    missing = {
        text
        for _, node, texts in calls()
        for text in texts[:1]
        if text and not is_known(german, text)
    }

    assert missing == set()


def test_every_text_of_the_mails_has_its_german(german):
    templates = "".join(
        path.read_text(encoding="utf-8")
        for path in (REPORTS / "templates" / "reports").iterdir()
        if path.is_file()
    )
    marked = re.findall(r'{% translate "([^"]+)" %}', templates)
    blocks = re.findall(
        r"{% blocktranslate[^%]*%}(.*?){% endblocktranslate %}", templates
    )
    marked += [re.sub(r"{{ (\w+) }}", r"%(\1)s", block) for block in blocks]

    assert len(marked) > 5
    assert [text for text in marked if not is_known(german, text)] == []


def test_no_marked_text_stands_inside_an_f_string():
    # The tools that collect texts do not look there.
    hidden = [
        (path.name, node.lineno)
        for path in REPORTS.rglob("*.py")
        for outer in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(outer, ast.JoinedStr)
        for node in ast.walk(outer)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in MARKS
        and node.args
        and isinstance(node.args[0], ast.Constant)
    ]

    assert hidden == []


def test_the_compiled_catalogue_is_that_of_the_text(german):
    """A fresh clone has no compiler of catalogues: the compiled one is committed."""
    text = (GERMAN / "django.po").read_text(encoding="utf-8")
    entries = re.findall(r'^msgid (".*")\nmsgstr (".*")$', text, re.MULTILINE)

    assert len(entries) > 600
    for written, translated in entries:
        source = ast.literal_eval(written)
        if source:
            assert german._catalog[source] == ast.literal_eval(translated)


def test_every_form_of_groove_has_its_german(german):
    """What the forms' own table says is marked nowhere else."""
    texts = {
        text
        for form, shape in FORMS.items()
        for text in (
            form.value,
            f"seat depth, {form.value}",
            f"seat depth, {form.value}, hardened",
            *(template for template, _column in shape.told),
            *(each.value for each in shape.set_by if each.value.endswith("angle")),
        )
    }

    assert len(texts) > 4 * len(FORMS)
    assert [text for text in texts if not is_known(german, text)] == []


def listed_words():
    """Yield every word that lower apps list or store under its own name."""
    for kind in KINDS.values():
        yield from (kind.name, kind.how, kind.gauge, *kind.words)
        yield from (name.replace("_", " ") for name in (*kind.place, *kind.may))
        yield from (printed_readings.part_and_unit(name)[0] for name in kind.may)
    for values in PLACE_VALUES.values():
        yield from (v for v in values if v.isalpha() and len(v) > 1)


def test_every_word_of_the_closed_lists_has_its_german(german):
    choices = (DriveKind, Wrap, RopeCore, WorkKind, VisitKind, ReadingState)
    labels_of = {str(label) for each in choices for label in each.labels}
    words = {
        *listed_words(),
        *labels_of,
        *ForecastState.labels,
        *loading.CLASSES,
        *(str(each) for each in Certainty),
    } - {""}

    assert len(words) > 100
    assert {w for w in words if not is_known(german, w)} == set()


def test_what_an_option_declares_as_shown_has_its_german(german):
    shown = [f.metadata[SHOWN] for f in fields(Option) if SHOWN in f.metadata]
    texts = {text for each in shown for text in (each.label, each.unit) if text}

    assert shown
    assert {text for text in texts if not is_known(german, text)} == set()


def test_documents_have_words_of_their_own_for_every_topic():
    assert set(TOPICS) == set(Topic)


# --- numbers and days -----------------------------------------------------------------
@pytest.mark.parametrize(
    ("language", "length", "day"),
    [("en", "12.70 mm", "4 May 2026"), ("de", "12,70 mm", "4. Mai 2026")],
)
def test_numbers_and_days_follow_the_language(language, length, day):
    reader = Reader(family="METRIC", zone=NOW.tzinfo, language=language)

    with translation.override(language):
        assert reader.length(12.7) == length
        assert reader.day(NOW.replace(month=5, day=4)) == day


def test_a_value_without_its_own_unit_keeps_whole_numbers():
    reader = Reader(family="METRIC", zone=NOW.tzinfo)

    assert reader.quantity(1234.0, "%") == "1234 %"
    assert reader.quantity(-0.5, "mm", signed=True) == "−0.50 mm"
    assert reader.quantity(None, "mm") == "–"


# --- a whole report -------------------------------------------------------------------
def texts_in(value):
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from texts_in(item)
    elif hasattr(value, "__dataclass_fields__"):
        for field in fields(value):
            yield from texts_in(getattr(value, field.name))


@pytest.mark.django_db
def test_a_german_report_uses_no_english_heading(north):
    readings(north)
    report = made(north, language="de")

    frozen = content.from_plain(report.content)

    english = {getattr(Wording(), f.name) for f in fields(Wording)}
    found = set(texts_in(frozen)) & english
    # Words that are the same in both languages, and the decimal mark of a clock.
    assert found <= {"Chance", "Budget", "{page}"}
    assert frozen.masthead.language == "de"
    assert frozen.masthead.period == "1. Jan 2026 bis 31. Mär 2026"
    assert "Behörde" in frozen.masthead.deferral


@pytest.mark.django_db
def test_making_a_german_report_leaves_the_language_as_it_was(north):
    with translation.override("en"):
        made(north, language="de")

        assert translation.get_language() == "en"


@pytest.mark.django_db
def test_language_is_the_owners_where_none_is_asked_for(north):
    from fleet.models import Owner

    Owner.objects.filter(code="mill").update(language="de")

    assert asked(north).language == "de"
