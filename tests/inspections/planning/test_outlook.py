"""Over a horizon: comparison, budget and the shop's order, from a machine's rows."""

from datetime import timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Machine, Sheave
from inspections import options
from inspections.decisions.budget import CurrenciesDiffer
from inspections.models import Forecast, ForecastScore
from inspections.planning import budgeting
from tests import callers, estates, factories
from tests.inspections.options import worn
from tests.inspections.planning.test_terms import change

pytestmark = pytest.mark.django_db

THAT_DAY = "2026-05-05T08:00:00+00:00"
BAND = {"low": "900.00", "mid": "1000.00", "high": "1300.00"}
HOURS = {"low": "16.00", "mid": "24.00", "high": "40.00"}
WORKS = ("RE_ROPE", "REGROOVE_IN_PLACE", "REGROOVE_IN_SHOP", "REPLACE_SHEAVE")
RATES = {
    "currency": "EUR",
    "hourly": {"low": "70.00", "mid": "80.00", "high": "95.00"},
    "hours": {
        work: {"low": "16.00", "mid": "24.00", "high": "40.00"} for work in WORKS
    },
    "parts": {"ROPE_SET": BAND, "SHEAVE": {**BAND, "high": "9000.00"}},
    "hoisting": BAND,
    "shop": {"REGROOVE_IN_PLACE": BAND, "REGROOVE_IN_SHOP": BAND},
    "why": "rates of 2026",
}


@pytest.fixture(autouse=True)
def that_day():
    with time_machine.travel(THAT_DAY, tick=True):
        yield


@pytest.fixture(scope="module")
def worn_on():
    return THAT_DAY


@pytest.fixture(scope="module")
def before_it_is_read():
    def done(cast):
        assert change(cast, "rates", RATES).status_code == 200

    return done


@pytest.fixture
def north(with_worn):
    return with_worn[0]


@pytest.fixture
def machine(with_worn):
    return with_worn[1]


def get(cast, path, role="OFFICE"):
    return callers.call(cast, "GET", f"/api/v1/{path}", role=role)


# --- comparison -----------------------------------------------------------------------
def test_the_same_seed_compares_the_same(north, machine):
    path = f"machines/{machine.pk}/comparison?seed=7&draws=300"

    first, again = get(north, path), get(north, path)

    assert first.status_code == 200, first.content
    assert first.json() == again.json()
    body = first.json()
    assert (body["seed"], body["draws"], body["currency"]) == (7, 300, "EUR")
    assert {course["kind"] for course in body["courses"]} & set(WORKS)
    assert body["cautions"]


def test_a_horizon_is_taken_within_its_limits(north, machine):
    path = f"machines/{machine.pk}/comparison"

    for query in ("horizon_years=41", "draws=10", "seed=-1", "seed=x", "years=3"):
        answer = get(north, f"{path}?{query}")
        assert callers.is_problem(answer, 400, "parse-error")


@pytest.mark.parametrize("path", ["machines/{}/comparison", "budget"])
@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_what_rests_on_rates_is_the_offices(north, path, role):
    answer = get(north, path.format(1), role)

    assert callers.is_problem(answer, 403, "permission-denied")


# --- budget ---------------------------------------------------------------------------
def test_the_budget_has_the_quarters_and_their_sum(north, machine):
    answer = get(north, "budget?quarters=4&draws=200&seed=3")

    body = answer.json()
    assert answer.status_code == 200, answer.content
    assert [quarter["begins_on"] for quarter in body["quarters"]] == [
        "2026-04-01",
        "2026-07-01",
        "2026-10-01",
        "2027-01-01",
    ]
    assert (body["machines"], body["currency"]) == (2, "EUR")
    means = [quarter["cost"]["mean"] for quarter in body["quarters"]]
    assert sum(means) == pytest.approx(body["whole"]["cost"]["mean"])
    assert body["whole"]["cost"]["p90"] >= body["whole"]["cost"]["p10"] >= 0
    # The limit of the worn machine lies within the year: something is to be paid.
    assert body["whole"]["cost"]["mean"] > 1000
    # The second machine was never read: no date of it may be shown.
    callers.confine(north)
    assert body["without_dates"] == [Machine.objects.get(code="QC-1").pk]


def test_chosen_work_comes_once_and_by_its_day(north, machine):
    body = {"machine": machine.pk, "option": "REPLACE_SHEAVE"}
    days = {"due_before_on": "2026-11-15", "although": "at one go with the neighbour"}
    chosen = callers.call(north, "POST", "/api/v1/planned-works", body | days)
    assert chosen.status_code == 201, chosen.content

    quarters = get(north, "budget?quarters=4&draws=200").json()["quarters"]

    expected = [
        sum(c["expected"]["mean"] for c in q["counts"] if c["kind"] == body["option"])
        for q in quarters
    ]
    # On its day, or before where a limit is met first; never once more this year.
    assert sum(expected) == pytest.approx(1.0)
    assert expected[2] > 0.0
    assert expected[3] == 0.0


def test_budget_and_comparison_say_what_each_class_rests_on(north, machine):
    callers.confine(north)
    known = Forecast.objects.filter(machine=machine, current=True).exclude(
        rate_per_year=None
    )
    name = known.first().class_name
    ForecastScore.objects.create(
        contractor=north.contractor,
        class_name=name,
        scored_on="2026-05-01",
        shared_on_machine=0.8,
        pairs=300,
    )

    for path in ("budget?draws=100", f"machines/{machine.pk}/comparison?draws=100"):
        classes = {c["name"]: c for c in get(north, path).json()["classes"]}

        assert classes[name]["pairs"] == 300
        # Three quarters of .8 less the class's .1, and a quarter of the rule's .5.
        assert classes[name]["on_machine"] == pytest.approx(0.65)
        assert (classes[name]["in_class"], classes[name]["periods"]) == (0.1, 0)


def test_the_budget_of_a_building_is_of_its_machines(north, machine):
    answer = get(north, f"budget?building={machine.building_id}&draws=100&quarters=1")

    assert answer.json()["machines"] == 1


def test_queries_of_the_budget_do_not_grow_with_the_machines(north, machine):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            assert get(north, "budget?draws=100&quarters=1").status_code == 200
        return len(queries)

    asked()
    few = asked()
    callers.confine(north)
    estates.grow(north, machines=5)

    assert asked() == few


def test_a_budget_of_more_machines_than_one_waits_for_is_refused(
    north, machine, monkeypatch
):
    monkeypatch.setattr(budgeting, "MOST_FUTURES", 150)
    few, many = "budget?draws=100&quarters=1", "budget?draws=200&quarters=1"

    answer = get(north, many)

    assert get(north, f"{few}&building={machine.building_id}").status_code == 200
    assert callers.is_problem(answer, 422, "budget-too-large")
    assert "order a portfolio review" in answer.json()["detail"]


def test_two_thousand_machines_are_drawn_at_the_usual_draws():
    assert budgeting.MOST_FUTURES == 2_000 * 500


def test_a_budget_in_two_currencies_is_refused_with_the_reason(north, monkeypatch):
    def refuse(**_asked):
        raise CurrenciesDiffer("EUR", "USD")

    monkeypatch.setattr(budgeting, "by_quarter", refuse)

    answer = get(north, "budget")

    assert callers.is_problem(answer, 409, "currencies-differ")
    assert "EUR, USD" in answer.json()["detail"]


# --- the shop's order -----------------------------------------------------------------
def test_an_order_names_what_is_missing_and_may_not_be_placed(north, machine):
    answer = get(north, f"machines/{machine.pk}/regroove-order", "TECHNICIAN")

    body = answer.json()
    assert answer.status_code == 200, answer.content
    assert body["may_be_placed"] is False
    assert "crack check" in body["missing"]
    assert [groove["number"] for groove in body["grooves"]] == [1, 2, 3, 4, 5]
    # Deepest seat 3.2 mm and 1.6 mm clean-up.
    assert body["grooves"][0]["turn_at_seat_mm"] == pytest.approx(1.6)
    assert body["before_turning"]
    assert body["after_turning"]


def test_the_order_takes_the_registers_drawing(north, machine):
    callers.confine(north)
    Sheave.objects.filter(machine=machine).update(
        material="EN-GJS-600-3", datum_mark="A at the keyway"
    )

    body = get(north, f"machines/{machine.pk}/regroove-order").json()

    said = {line["text"] for line in body["lines"]}
    assert any("A at the keyway" in text for text in said), said


def test_an_owners_reader_has_no_order(north, machine):
    answer = get(north, f"machines/{machine.pk}/regroove-order", "OWNER_READER")

    assert callers.is_problem(answer, 403, "permission-denied")


@pytest.mark.parametrize("query", ["kind=RE_ROPE", "form=V"])
def test_an_order_for_something_else_is_refused(north, machine, query):
    answer = get(north, f"machines/{machine.pk}/regroove-order?{query}")

    assert callers.is_problem(answer, 400, "parse-error")


def test_another_contractors_machine_has_neither(north, machine):
    south = factories.cast(code="south")

    for name in ("comparison", "regroove-order"):
        answer = get(south, f"machines/{machine.pk}/{name}")
        assert callers.is_problem(answer, 404, "not-found")


def test_a_changed_threshold_changes_the_cut(north, machine):
    body = {"values": {"clean_up_mm": 2.0}, "why": "our shop cleans up two millimetres"}
    assert change(north, "thresholds", body).status_code == 200
    callers.confine(north)

    stored = options.recompute(
        scope=north.scope(),
        machine_ids=[machine.pk],
        as_of=worn.AT + timedelta(seconds=1),
    )

    assert stored == 1
    answer = get(north, f"machines/{machine.pk}/options").json()
    assert [row["name"] for row in answer["changed_thresholds"]] == ["clean_up_mm"]
    cut = next(o for o in answer["options"] if o["kind"] == "REGROOVE_IN_SHOP")
    # 3.2 mm and 2.0 mm off the radius of a sheave of 600 mm.
    assert cut["pitch_diameter_after_mm"] == pytest.approx(589.6)
