"""The office's review: what is due, by building, by part, and the budget."""

import re
from datetime import date

import pytest

from inspections.decisions.budget import CurrenciesDiffer
from inspections.models import DueWork
from inspections.planning import budgeting
from inspections.reasons import Code, Quantity, Term, as_json, because
from reports import content, publishing
from reports.composition import budget, compose
from reports.composition.decided import money
from reports.pdf import document
from tests import callers
from tests.inspections.options import worn
from tests.reports.orders import NOW, PERIOD
from tests.reports.pdf import opened

ROPE = because(
    Code.ROPE_PART_MADE,
    diameter=Quantity(13.0, "mm"),
    details=(because(Code.ROPE_STRANDS, name="8x19"), Term.CORE_FIBRE),
)

pytestmark = pytest.mark.django_db


def review(cast, **order):
    callers.confine(cast)
    report, _ = publishing.request(
        scope=cast.scope(),
        order=publishing.Order(kind="PORTFOLIO_REVIEW", **PERIOD, **order),
        now=NOW,
    )
    return compose(scope=cast.scope(), report=report, issued_at=worn.AT)


def line(machine, **rest):
    """Store another line of the list."""
    due = rest.get("due_before_on")
    return DueWork.objects.create(
        contractor=machine.contractor,
        machine=machine,
        building=machine.building,
        owner=machine.building.owner,
        state="PROPOSED",
        rank_on=due or date(9999, 12, 31),
        grade="PLAN_WORK",
        **rest,
    )


def test_the_worklist_has_the_days_the_work_and_its_sum(north, machine):
    [row] = review(north).worklist.rows

    stored = DueWork.objects.get()
    assert row[0].startswith("before ")
    assert row[2:5] == (
        "MH-1 Mill House, lift 1",
        "regroove in place and re-rope",
        "proposed",
    )
    assert row[5] == f"{100 * stored.risk:.2g} %"
    assert row[6] == "EUR 2,920 to 6,400"


def test_a_line_without_a_day_stands_last_and_says_so(north, machine):
    line(machine, kind="MEASURE_FIRST")
    line(machine, kind="RE_ROPE", due_before_on=date(2026, 4, 1), risk=1.0)

    rows = review(north).worklist.rows

    assert [row[3] for row in rows] == [
        "re-rope",
        "regroove in place and re-rope",
        "measure or have it examined first",
    ]
    assert rows[0][0] == "now (since 1 Apr 2026)"
    assert (rows[0][5], rows[0][6]) == ("limit reached", "not estimated")
    assert (rows[2][0], rows[2][1]) == ("no day is known", "–")


def test_a_machine_out_of_service_comes_with_its_line(north, machine):
    line(
        machine,
        kind="REPLACE_SHEAVE",
        due_before_on=date(2026, 5, 1),
        out_of_service=True,
    )

    rows = review(north).worklist.rows

    assert rows[0][0].startswith("out of service; ")


def test_the_same_rope_is_one_order_and_a_building_one_row(north, machine):
    DueWork.objects.update(part=str(ROPE), part_said=as_json(ROPE), part_count=5)
    line(
        machine,
        kind="RE_ROPE",
        due_before_on=date(2027, 1, 1),
        part=str(ROPE),
        part_said=as_json(ROPE),
        part_count=5,
    )

    found = review(north, language="de")

    [part] = found.by_part.rows
    assert part[:3] == ("Seil 13 mm, 8x19, Fasereinlage", "10", "1")
    [building] = found.by_building.rows
    assert building[:3] == ("Mill House", "1", "2")


def test_the_budget_is_that_of_its_own_address(north, machine):
    told = review(north).budget

    found = budgeting.by_quarter(
        scope=north.scope(),
        quarters=budget.QUARTERS,
        seed=budget.SEED,
        draws=budget.DRAWS,
        building_id=None,
        owner_id=None,
        now=worn.AT,
    )
    assert len(told.rows) == len(found.quarters) + 1
    assert told.rows[0][0] == "2026, quarter 2"
    whole = found.whole.cost
    low, high = (round(v, -2) for v in (whole.p10, whole.p90))
    assert told.rows[-1][-1] == money.between(low, high, "EUR")
    assert told.rows[-1][-2] == money.amount(round(whole.mean, -2), "EUR")


def test_quantiles_of_quarters_are_not_those_of_the_whole_and_it_says_so(
    north, machine
):
    found = review(north)

    assert "Quarters' P10 and P90 do not add up" in " ".join(found.budget_remarks)
    highest = [
        int(re.findall(r"[\d,]+", row[-1])[-1].replace(",", ""))
        for row in found.budget.rows
    ]
    assert sum(highest[:-1]) != highest[-1]


def test_work_that_is_counted_without_a_cost_is_named(bare):
    found = review(bare)

    assert any("Counted without a cost" in text for text in found.budget_remarks)
    assert all(row[-1] == "–" for row in found.budget.rows)


def test_machines_without_a_date_are_told(north, machine):
    told = " ".join(review(north).budget_remarks)

    assert "1 of 2 machines has no date that may be shown" in told


def test_no_budget_is_made_up_of_two_currencies(north, machine, monkeypatch):
    def refuse(**_asked):
        raise CurrenciesDiffer("EUR", "USD")

    monkeypatch.setattr(budgeting, "by_quarter", refuse)

    found = review(north)

    assert found.budget is None
    assert found.budget_remarks[0] == (
        "No budget: the amounts are in more than one currency: EUR, USD."
    )


@pytest.mark.parametrize("language", ["en", "de"])
def test_all_of_it_is_on_the_drawn_review(north, machine, language):
    found = review(north, language=language)

    text = opened.whole(document.draw(document=found))

    assert content.from_json(content.to_json(found)) == found
    tables = (found.worklist, found.by_building, found.by_part, found.budget)
    for words in (
        *(cell for table in tables for row in table.rows for cell in row),
        *found.budget_remarks,
    ):
        assert opened.folded(words) in text, words
    assert "[auf Englisch]" not in str(content.to_plain(found))
