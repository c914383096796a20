"""A stricter limit takes no date away, be it used up by a new part already."""

import pytest

from inspections.models import ForecastState
from tests import callers, factories
from tests.inspections.forecasts import stored
from tests.inspections.forecasts.stored import BEGUN

pytestmark = pytest.mark.django_db

FALLING = (1.0, 0.3, 0.1, 0.0, -5.0)
LEVELS = ((1.0, 0.2), (2.0, 0.4), (3.0, 0.6))


@pytest.fixture
def cast():
    found = factories.cast()
    callers.confine(found)
    return found


def test_date_of_a_limit_that_falls_to_nothing_never_moves_later_or_vanishes(cast):
    machines = stored.machines(cast, count=len(FALLING))
    for machine, limit in zip(machines, FALLING, strict=True):
        stored.track(machine, levels=LEVELS, limit_level=limit, limit_sd=0.2)
        stored.track(machine, levels=(), place="groove 2", limit_level=limit)

    stored.night(cast)

    for place in ("groove 1", "groove 2"):
        dates = [stored.current(each, place).plan_before_on for each in machines]
        assert None not in dates
        assert dates == sorted(dates, reverse=True)
        assert dates[0] > BEGUN
        assert dates[-1] == BEGUN
    used_up = stored.current(machines[-1])
    assert used_up.state == ForecastState.REACHED
    assert used_up.chance_already > 0.999
    # So is one of which nothing was read yet.
    assert stored.current(machines[-1], "groove 2").chance_already > 0.999
    assert used_up.limit == -5.0
    assert used_up.level == pytest.approx(0.6, abs=0.06)


def test_without_a_limit_there_is_no_date(cast):
    [machine] = stored.machines(cast, count=1)
    stored.track(machine, levels=LEVELS, limit_level=None)

    stored.night(cast)

    assert stored.current(machine).plan_before_on is None
