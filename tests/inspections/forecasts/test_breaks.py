"""Broken wires: counts that accelerate, from the rope's counts to a date."""

from dataclasses import replace

import numpy as np
import pytest

from inspections.forecasts import breaking, breaks, knowledge, loading
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


def rope(machine, levels):
    """Return a rope's track as it is loaded, and what is known of such ropes."""
    stored.track(
        machine,
        levels=levels,
        place="rope 1",
        quantity=breaks.BROKEN_WIRES,
        class_name=COUNTED,
        limit_level=12.0,
        tolerance=0.5,
        limit_reason=breaks.REASON,
    )
    return loading.load(machine_ids=[machine.pk]), knowledge.assumed()


def finding(known, share):
    """Return what is known with so many of broken wires found, alone and at once."""
    classes = {
        name: replace(each, detection=share, dispersion=1.0)
        for name, each in known.broken.items()
    }
    return replace(known, broken=classes)


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


def test_chance_already_there_includes_what_was_missed(machine):
    """Of two in three that are found, nine seen are thirteen and a half there."""
    tracks, known = rope(machine, [(4.0, 5.0), (6.0, 9.0)])
    given = {"tracks": tracks, "horizon_years": np.ones(1), "rule": (0.02,)}
    every, some = (
        breaking.forecast(**given, known=finding(known, share)) for share in (1.0, 0.67)
    )

    assert every.already == pytest.approx(np.zeros(1), abs=1e-9)
    assert some.already[0] > 0.2
    assert some.chance_before_horizon[0] >= some.already[0]
    assert some.years[0, 0] == 0.0 < every.years[0, 0]


def test_rope_never_looked_at_is_not_said_to_be_sound(machine):
    found = forecast(machine, [])

    assert found.level is None
    assert found.p50_on is None
    assert found.reason


def test_rope_without_a_limit_says_so(machine):
    found = forecast(machine, [(4.0, 1.0), (6.0, 2.0)], limit=None)

    assert found.state == ForecastState.NONE
    assert found.reason == "no limit is known for this place"
