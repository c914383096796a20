"""Broken wires: counts that accelerate, from the rope's counts to a date."""

import pytest

from inspections.forecasts import breaks
from inspections.models import ForecastState
from tests import callers, factories
from tests.inspections.forecasts import stored
from tests.inspections.forecasts.stored import COUNTED

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    cast = factories.cast()
    callers.confine(cast)
    found = stored.machines(cast, count=1)[0]
    found.cast = cast
    return found


def forecast(machine, levels, *, place="rope 1", limit=12.0):
    stored.track(
        machine,
        levels=levels,
        place=place,
        quantity=breaks.BROKEN_WIRES,
        class_name=COUNTED,
        limit_level=limit,
        tolerance=0.5,
        limit_reason=breaks.REASON,
    )
    stored.night(machine.cast)
    return stored.current(machine, place)


def test_rope_that_breaks_more_each_year_has_a_date(machine):
    found = forecast(machine, [(2.0, 0.0), (4.0, 2.0), (5.0, 4.0), (6.0, 7.0)])

    assert found.state in (ForecastState.PROVISIONAL, ForecastState.ESTABLISHED)
    assert found.p02_on < found.p10_on < found.p50_on < found.p90_on
    assert found.plan_before_on == found.p02_on
    assert (found.level, found.level_sd) == (7.0, None)
    # a constant rate would say five more years
    assert (found.p50_on - found.last_on).days < 4 * 365
    assert found.caution.startswith(str(breaks.CAUTION))


def test_more_breaks_mean_an_earlier_date(machine):
    few = forecast(machine, [(4.0, 1.0), (6.0, 2.0)])
    many = forecast(machine, [(4.0, 3.0), (6.0, 8.0)], place="rope 2")

    # two more to come: some of them may be broken already
    assert many.plan_before_on < few.plan_before_on
    assert many.p10_on < few.p10_on
    assert many.chance_already > few.chance_already


def test_count_that_falls_is_taken_at_its_highest(machine):
    found = forecast(machine, [(3.0, 2.0), (4.0, 5.0), (5.0, 4.0), (6.0, 5.0)])

    assert found.level == 5.0


def test_rope_over_its_limit_is_said_to_be(machine):
    found = forecast(machine, [(4.0, 5.0), (6.0, 14.0)])

    assert found.state == ForecastState.REACHED
    assert found.chance_already == 1.0


def test_rope_never_looked_at_is_not_said_to_be_sound(machine):
    found = forecast(machine, [])

    assert found.level is None
    assert found.p50_on is None
    assert found.reason


def test_rope_without_a_limit_says_so(machine):
    found = forecast(machine, [(4.0, 1.0), (6.0, 2.0)], limit=None)

    assert found.state == ForecastState.NONE
    assert found.reason == "no limit is known for this place"
