"""What measuring first is worth, in the words of a document."""

import re
from dataclasses import asdict, replace
from datetime import UTC, datetime
from types import SimpleNamespace

import pytest
from django.utils import translation

from inspections.decisions.records import OptionKind, WorthMeasuring
from inspections.models import Forecast
from reports import queries
from reports.composition import compose
from reports.composition.decided import options, worth
from reports.composition.reader import Reader
from tests import callers
from tests.inspections.planning.test_comparison_page import PRICED
from tests.inspections.planning.test_outlook import THAT_DAY
from tests.inspections.planning.test_terms import change
from tests.reports.orders import asked

WORTH = WorthMeasuring(
    field="rim_thickness_mm",
    dates=3,
    expected=12_300.0,
    saves=1_500.0,
    costs=240.0,
    choice=OptionKind.REPLACE_SHEAVE,
    choice_knowing=OptionKind.REGROOVE_IN_SHOP,
)


@pytest.fixture(scope="module")
def worn_on():
    return THAT_DAY


@pytest.fixture(scope="module")
def before_it_is_read():
    def done(cast):
        assert change(cast, "rates", PRICED).status_code == 200

    return done


@pytest.mark.django_db
@pytest.mark.parametrize("share", [0.0, 0.9])
def test_a_machine_with_a_blurred_date_says_it_beside_the_option_to_measure(
    with_worn, share
):
    cast, machine = with_worn
    callers.confine(cast)
    Forecast.objects.filter(machine=machine).update(
        measure_first="rim_thickness_mm", limit_share=share
    )
    now = datetime.fromisoformat(THAT_DAY)
    known = queries.facts_of_machine(
        scope=cast.scope(), machine_id=machine.pk, as_of=now
    )

    [whole] = queries.with_measuring([known], scope=cast.scope(), as_of=now)

    reader = Reader(family="METRIC", zone=UTC)
    told = {
        option.name: [row.label for row in option.further]
        for option in options.options_of(whole, reader=reader)
    }
    label = "What measuring first is worth"
    with_it = [name for name, labels in told.items() if label in labels]
    assert with_it == (["Measure or have it examined first"] if share else [])


@pytest.mark.django_db
def test_no_sum_but_what_work_costs_is_in_an_owners_report(with_worn):
    cast, machine = with_worn
    callers.confine(cast)
    Forecast.objects.filter(machine=machine).update(
        measure_first="rim_thickness_mm", limit_share=0.9
    )

    now = datetime.fromisoformat(THAT_DAY)
    report = compose(scope=cast.scope(), report=asked(cast), issued_at=now)

    costs = [option.cost for each in report.machines for option in each.options]
    assert any("EUR" in cost for cost in costs)
    front = report.summary
    of_options = {front.total, *(text for a in front.answers for text in a.paragraphs)}
    others = set(texts(asdict(report))) - {*costs, *of_options}
    assert any(text.startswith("Metal under the groove blurs") for text in others)
    assert [text for text in others if "EUR" in text] == []


def texts(value):
    """Yield every text of a document's content."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for each in value.values():
            yield from texts(each)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from texts(each)


def said(measuring, *, currency="EUR", language="en"):
    compared = SimpleNamespace(
        measuring=measuring, currency=currency, horizon_years=15.0
    )
    reader = Reader(family="METRIC", zone=UTC, language=language)
    with translation.override(language):
        facts = SimpleNamespace(compared=compared)
        return list(worth.rows(facts, reader=reader))


def test_what_blurs_whether_it_pays_and_that_safety_waits_for_none_of_it():
    [row] = said(WORTH)

    assert row.value.startswith("Metal under the groove blurs a date most.")
    for words in (
        "over 15 years and in money alone: expected to save more than measuring costs.",
        "puts off nothing that safety asks for",
        "a chance of at most 2 in 100",
    ):
        assert words in row.value


@pytest.mark.parametrize(
    ("saves", "costs", "words"),
    [
        (1_500.0, 240.0, "expected to save more than measuring costs"),
        (240.0, 240.0, "expected to save no more than measuring costs"),
        (0.0, 240.0, "expected to save nothing"),
        (0.0, None, "expected to save nothing"),
        (1_500.0, None, "what measuring costs is not estimated"),
    ],
)
def test_it_is_said_without_any_sum_of_the_offices(saves, costs, words):
    [row] = said(replace(WORTH, saves=saves, costs=costs))

    assert words in row.value
    # What it saves, costs and would cost else is read by the office alone.
    assert "EUR" not in row.value
    assert re.findall(r"\d+", row.value) == ["15", "2", "100"]


def test_it_is_said_in_german():
    [row] = said(WORTH, language="de")

    assert row.label == "Was es wert ist, zuerst zu messen"
    assert row.value.startswith("Metall unter der Rille verwischt einen Tag am meisten")
    assert "schiebt nichts auf, was die Sicherheit verlangt" in row.value
    assert "mehr zu sparen, als das Messen kostet" in row.value


@pytest.mark.parametrize(
    ("measuring", "currency"), [(None, "EUR"), (WORTH, "")], ids=["nothing", "no rates"]
)
def test_nothing_is_said_where_nothing_can_be_weighed(measuring, currency):
    assert said(measuring, currency=currency) == []
