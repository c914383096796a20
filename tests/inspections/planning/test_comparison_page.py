"""The page of what each option costs over the years, measuring first among them."""

import re
from dataclasses import replace

import pytest
import time_machine
from django.utils import timezone

from inspections.models import Forecast
from inspections.pages import comparing
from inspections.planning import comparing as followed
from tests import browsers, callers, factories
from tests.inspections.planning.test_outlook import RATES, THAT_DAY
from tests.inspections.planning.test_terms import change

pytestmark = pytest.mark.django_db

# A day out of service at no price: else no option has an amount without lead times.
NOTHING = {"low": "0.00", "mid": "0.00", "high": "0.00"}
AN_HOUR_OR_TWO = {"low": "1.00", "mid": "2.00", "high": "4.00"}
PRICED = RATES | {
    "day_out": NOTHING,
    "hours": {**RATES["hours"], "MEASURE_FIRST": AN_HOUR_OR_TWO},
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
        assert change(cast, "rates", PRICED).status_code == 200

    return done


@pytest.fixture
def north(with_worn):
    return with_worn[0]


@pytest.fixture
def machine(with_worn):
    return with_worn[1]


@pytest.fixture
def blurred(north, machine):
    """The metal of the rim blurs every date of the machine."""
    callers.confine(north)
    rows = Forecast.objects.filter(machine=machine, current=True)
    assert rows.exclude(p50_on=None).exists()
    rows.update(measure_first="rim_thickness_mm", limit_share=0.9)


def page(cast, machine, role="OFFICE", language="en"):
    browser = browsers.confirmed(cast.memberships[role].person)
    factories.forget_tenant()
    answer = browser.get(
        f"/machines/{machine.pk}/comparison", headers={"Accept-Language": language}
    )
    return answer, re.sub(r"\s+", " ", answer.content.decode())


def test_the_office_sees_each_option_as_the_api_has_it(north, machine):
    answer, text = page(north, machine)
    body = callers.call(
        north, "GET", f"/api/v1/machines/{machine.pk}/comparison"
    ).json()

    assert answer.status_code == 200
    shown = answer.context["courses"]
    assert [(str(c.followed.kind), c.followed.cost_mean) for c in shown] == [
        (course["kind"], course["cost_mean"]) for course in body["courses"]
    ]
    [cheapest] = [c for c in shown if c.is_cheapest]
    assert str(cheapest.followed.kind) == body["cheapest"]
    assert "– cheapest" in text
    assert "No single value that could be measured" in text
    assert "is no reason to put off a measurement" in text


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_nobody_else_sees_it(north, machine, role):
    assert page(north, machine, role)[0].status_code == 403


def test_a_survey_of_the_rim_stands_as_a_course_beside_the_others(
    north, machine, blurred
):
    answer, text = page(north, machine)

    found = answer.context["measuring"]
    worth = found.worth
    assert "Measure first: metal under the groove, and decide then" in text
    assert worth.saves >= 0.0
    assert found.expected == pytest.approx(worth.expected - worth.saves + worth.costs)
    assert found.left == pytest.approx(worth.saves - worth.costs)
    assert ("Measuring first is expected to pay" in text) == (found.left > 0.0)
    assert "a chance of at most 2 in 100" in text
    assert "is no reason to put off a measurement" in text


def test_measuring_moves_no_other_course(north, machine):
    before = page(north, machine)[0].context["courses"]
    callers.confine(north)
    Forecast.objects.filter(machine=machine).update(
        measure_first="car_mass_kg", limit_share=1.0
    )

    assert page(north, machine)[0].context["courses"] == before


def test_it_is_said_in_german(north, machine, blurred):
    _, text = page(north, machine, language="de")

    assert "Lohnt es sich, zuerst zu messen?" in text
    assert "Zuerst messen: Metall unter der Rille, und dann entscheiden" in text
    assert "kein Grund, eine Messung, ein Stillsetzen" in text
    assert "Does measuring" not in text


@pytest.mark.parametrize(
    ("saves", "costs", "left", "pays"),
    [(500.0, 200.0, 300.0, True), (0.0, 200.0, -200.0, False), (9.0, None, None, None)],
)
def test_it_pays_where_more_is_saved_than_it_costs(
    north, machine, blurred, saves, costs, left, pays
):
    callers.confine(north)
    compared = followed.over_years(
        scope=north.scope(),
        machine_id=machine.pk,
        seed=1,
        horizon_years=15,
        draws=100,
        now=timezone.now(),
    ).comparison
    worth = replace(compared.measuring, saves=saves, costs=costs)

    found = comparing.measuring_of(replace(compared, measuring=worth))

    assert found.left == left
    assert found.pays == bool(pays)
    assert found.beyond == (None if left is None else max(-left, 0.0))
    assert (found.expected is None) == (costs is None)
