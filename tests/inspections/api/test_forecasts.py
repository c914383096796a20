"""Forecasts over the API: of a place, a machine, the portfolio, and the past."""

from datetime import timedelta

import pytest
from django.test import Client

from inspections.models import ForecastScore, PlanningRule
from tests import callers, factories
from tests.inspections.forecasts import stored
from tests.inspections.forecasts.stored import NOW, STEADY, UNDERCUT

pytestmark = pytest.mark.django_db


@pytest.fixture
def north():
    found = factories.cast()
    callers.confine(found)
    return found


@pytest.fixture
def machines(north):
    """Return two machines; the second wears twice as fast."""
    found = stored.machines(north, count=2)
    stored.track(found[0], levels=STEADY)
    stored.track(found[0], levels=STEADY[:4], place="groove 2", limit_level=3.0)
    stored.track(found[1], levels=[(t, 0.3 * t) for t, _ in STEADY], limit_level=2.4)
    stored.idle(north)
    stored.night(north)
    return found


def get(cast, path, *, role="OFFICE", **query):
    answer = Client().get(f"/api/v1/{path}", query, headers=cast.headers(role))
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_place_has_its_dates_and_what_they_rest_on(north, machines):
    made = stored.current(machines[0])

    found = get(north, f"forecasts/{made.pk}")

    assert found["p10_on"] == made.p10_on.isoformat()
    assert found["plan_before_on"] == made.p02_on.isoformat()
    assert found["readings_used"] == made.readings_used
    assert found["model_version"] == made.model_version
    assert found["hyperparameters"] is None
    assert "track" not in found


def test_curve_begins_at_the_last_reading_and_widens_to_the_limit(north, machines):
    made = stored.current(machines[0])

    found = get(north, f"forecasts/{made.pk}/curve")

    points = found["points"]
    assert len(found["readings"]) == len(STEADY)
    assert points[0]["on"] == made.last_on.isoformat()
    widths = [point["high"] - point["low"] for point in points]
    assert widths == sorted(widths)
    assert all(p["low"] <= p["middle"] <= p["high"] for p in points)
    # the middle of the band meets the limit on the middle date
    before = [p for p in points if p["on"] <= made.p50_on.isoformat()]
    after = [p for p in points if p["on"] > made.p50_on.isoformat()]
    assert before[-1]["middle"] <= 1.02 * made.limit
    assert after[0]["middle"] >= 0.98 * made.limit
    assert found["cautions"]


def test_curve_of_a_suspended_forecast_says_why_it_has_no_band(north, machines):
    row = stored.current(machines[0]).track
    stored.add(row, [(6.3, 0.1)])
    stored.night(north, now=NOW + timedelta(days=1))
    made = stored.current(machines[0])

    found = get(north, f"forecasts/{made.pk}/curve")

    assert found["points"] == []
    assert found["reason"] == made.reason
    assert len(found["readings"]) == len(STEADY) + 1


def test_machine_names_its_first_limit_and_which(north, machines):
    found = get(north, f"machines/{machines[0].pk}/forecast")

    assert found["first_limit"]["place"] == "groove 1"
    assert {row["place"] for row in found["forecasts"]} == {"groove 1", "groove 2"}
    assert found["next_visit_on"] is not None
    assert found["fleet_run_finished_at"] is not None
    assert found["cautions"]


def test_portfolio_has_each_machine_once_the_earliest_first(north, machines):
    found = get(north, "first-limits")

    rows = [(row["machine_code"], row["plan_before_on"]) for row in found["results"]]
    dated = [row for row in rows if row[1] is not None]
    assert [code for code, _ in dated] == ["more-1", "more-0"]
    assert dated == sorted(dated, key=lambda row: row[1])
    # machines without a date come last, and are not left out
    assert sorted(rows[2:]) == [("MH-1", None), ("QC-1", None)]


def test_forecasts_of_yesterday_are_not_among_those_that_stand(north, machines):
    row = stored.current(machines[0]).track
    stored.add(row, [(6.3, 1.3)])
    stored.night(north, now=NOW + timedelta(days=1))

    found = get(north, "forecasts", machine=machines[0].pk)

    assert len(found["results"]) == 2


def test_owners_reader_sees_the_forecasts_of_its_own_houses_only(north, machines):
    own = get(north, "forecasts", role="OWNER_READER")
    assert own["results"]

    other = factories.machine(north.scope(), "QC-1")
    elsewhere = stored.current(other, "groove 9")
    answer = Client().get(
        f"/api/v1/forecasts/{elsewhere.pk}", headers=north.headers("OWNER_READER")
    )
    assert answer.status_code == 404


def test_runs_tell_whether_what_is_shown_is_from_last_night(north, machines):
    (run,) = get(north, "forecast-runs")["results"]

    assert (run["state"], run["cause"]) == ("DONE", "NIGHT")
    assert run["forecasts"] == 5
    assert run["finished_at"]


def test_scores_are_for_the_offices_review(north):
    ForecastScore.objects.create(
        contractor=north.contractor,
        class_name=UNDERCUT,
        scored_on=NOW.date(),
        judged=40,
        hits=0.5,
        early=0.4,
        late=0.1,
        coverage_error=0.05,
        doubtful=True,
        words="of 40 past forecasts about 50 in 100 held: read its dates with care",
    )

    (row,) = get(north, "forecast-scores", doubtful="true")["results"]

    assert (row["class_name"], row["judged"], row["hits"]) == (UNDERCUT, 40, 0.5)
    assert get(north, "forecast-scores", doubtful="false")["results"] == []


def test_stricter_contractor_plans_earlier(north, machines):
    before = stored.current(machines[0])
    PlanningRule.objects.create(
        contractor=north.contractor, safety_probability=0.005, pull_forward_chance=0.002
    )

    stored.night(north, now=NOW + timedelta(days=1))

    after = stored.current(machines[0])
    assert after.plan_before_on < before.plan_before_on
    assert after.p02_on == before.p02_on
