"""Why a reading is due, told of rows that were never stored."""

from datetime import date

from inspections.models import Forecast, ForecastState
from inspections.worklist import reasons

SOON, LATER = date(2027, 3, 1), date(2027, 9, 1)


def suspended(**days):
    row = Forecast(
        quantity="seat_depth",
        place="groove 1",
        state=ForecastState.SUSPENDED,
        reason="a reading lies deeper than the others",
        **days,
    )
    return str(reasons._of_forecast(row).said)


def test_a_suspended_forecast_names_the_day_that_stands_all_the_same():
    assert "before 2027-03-01" in suspended(visit_before_on=SOON, plan_before_on=LATER)
    assert "before 2027-03-01" in suspended(plan_before_on=SOON)


def test_a_suspended_forecast_without_a_day_names_none():
    said = suspended()

    assert "is suspended" in said
    assert "2027" not in said
