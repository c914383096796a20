"""A machine's grade looks ahead, but never to less and never from others alone."""

from datetime import date, timedelta

import pytest

from inspections import condition
from inspections.models import Assessment, Forecast, ForecastState, Grade

TODAY = date(2026, 6, 1)
SOON = TODAY + timedelta(days=300)


def graded(grade, *forecasts):
    assessment = None if grade is None else Assessment(grade=grade)
    return condition.grade_of(assessment=assessment, forecasts=forecasts, today=TODAY)


def forecast(due, state=ForecastState.ESTABLISHED):
    return Forecast(plan_before_on=due, state=state)


@pytest.mark.parametrize("grade", [None, Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON])
def test_limit_that_is_near_asks_to_plan_work(grade):
    assert graded(grade, forecast(SOON)) == Grade.PLAN_WORK


def test_forecast_never_lowers_a_grade():
    far = forecast(TODAY + timedelta(days=4000))

    assert graded(Grade.ACT_NOW, far) == Grade.ACT_NOW
    assert graded(Grade.PLAN_WORK, far) == Grade.PLAN_WORK


def test_limit_that_is_far_leaves_the_grade():
    far = forecast(TODAY + timedelta(days=731))

    assert graded(Grade.IN_ORDER, far) == Grade.IN_ORDER


@pytest.mark.parametrize("state", [ForecastState.PRIOR_ONLY, ForecastState.BEYOND])
def test_forecast_that_is_not_the_machines_own_raises_nothing(state):
    assert graded(Grade.IN_ORDER, forecast(SOON, state)) == Grade.IN_ORDER


def test_a_level_that_was_read_is_the_machines_own_whatever_tells_its_rate():
    read = forecast(SOON, ForecastState.PRIOR_ONLY)
    read.level = 1.8

    assert graded(Grade.IN_ORDER, read) == Grade.PLAN_WORK


def test_machine_without_assessment_and_forecast_is_not_assessed():
    assert graded(None) == Grade.NOT_ASSESSED
