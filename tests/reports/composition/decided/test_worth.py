"""What measuring first is worth, in the words of a document."""

from dataclasses import replace
from datetime import UTC, datetime
from types import SimpleNamespace

import pytest
from django.utils import translation

from inspections.decisions.records import OptionKind, WorthMeasuring
from inspections.models import Forecast
from reports import queries
from reports.composition.decided import options, worth
from reports.composition.reader import Reader
from tests import callers
from tests.inspections.planning.test_comparison_page import PRICED
from tests.inspections.planning.test_outlook import THAT_DAY
from tests.inspections.planning.test_terms import change

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


def said(measuring, *, currency="EUR", language="en"):
    compared = SimpleNamespace(
        measuring=measuring, currency=currency, horizon_years=15.0
    )
    reader = Reader(family="METRIC", zone=UTC, language=language)
    with translation.override(language):
        facts = SimpleNamespace(compared=compared)
        return list(worth.rows(facts, reader=reader))


def test_what_is_saved_what_it_costs_and_that_safety_waits_for_none_of_it():
    [row] = said(WORTH)

    assert row.value.startswith("Metal under the groove blurs a date most.")
    for words in (
        "expected to save EUR 1,500",
        "against replace the sheave and re-rope as things stand (EUR 12,300)",
        "measuring costs about EUR 240",
        "puts off nothing that safety asks for",
        "a chance of at most 2 in 100",
    ):
        assert words in row.value


def test_a_cost_that_is_not_known_is_said_to_be_unknown():
    [row] = said(replace(WORTH, costs=None))

    assert "what measuring costs is not estimated" in row.value


def test_it_is_said_in_german():
    [row] = said(WORTH, language="de")

    assert row.label == "Was es wert ist, zuerst zu messen"
    assert row.value.startswith("Metall unter der Rille verwischt einen Tag am meisten")
    assert "schiebt nichts auf, was die Sicherheit verlangt" in row.value


@pytest.mark.parametrize(
    ("measuring", "currency"), [(None, "EUR"), (WORTH, "")], ids=["nothing", "no rates"]
)
def test_nothing_is_said_where_nothing_can_be_weighed(measuring, currency):
    assert said(measuring, currency=currency) == []
