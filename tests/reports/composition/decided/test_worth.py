"""What measuring first is worth, in the words of a document."""

from dataclasses import replace
from datetime import UTC
from types import SimpleNamespace

import pytest
from django.utils import translation

from inspections.decisions.records import OptionKind, WorthMeasuring
from reports.composition.decided import worth
from reports.composition.reader import Reader

WORTH = WorthMeasuring(
    field="rim_thickness_mm",
    dates=3,
    expected=12_300.0,
    saves=1_500.0,
    costs=240.0,
    choice=OptionKind.REPLACE_SHEAVE,
    choice_knowing=OptionKind.REGROOVE_IN_SHOP,
)


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
