"""The usage clock: trips where every machine of a class counts them, else years."""

from datetime import timedelta

import numpy as np
import pytest

from fleet.platform.database.tenancy import acting_for
from inspections.forecasts import clocks, learning, loading
from inspections.models import Reading, Upload, Visit
from tests import callers, factories
from tests.inspections.forecasts import stored
from tests.inspections.forecasts.stored import BEGUN, NOW, STEADY, UNDERCUT

pytestmark = pytest.mark.django_db

A_YEAR = 100_000.0


@pytest.fixture
def north():
    found = factories.cast()
    callers.confine(found)
    return found


@pytest.fixture
def machines(north):
    return stored.machines(north, count=2)


def count(cast, machine, readings):
    """Store counter readings: (years since fitted, count) pairs."""
    own = {"contractor": cast.contractor}
    by = cast.memberships["TECHNICIAN"].pk
    upload = Upload.objects.create(**own, membership_id=by, fingerprint="0" * 64)
    for years, value in readings:
        visit, _ = Visit.objects.get_or_create(
            **own,
            machine=machine,
            reference=f"c-{machine.pk}-{years}",
            defaults={"visited_at": stored.moment(years), "membership_id": by},
        )
        Reading.objects.create(
            **own,
            upload=upload,
            visit=visit,
            machine=machine,
            reference=f"trips-{machine.pk}-{years}",
            kind="trip_counter",
            value=value,
            taken_at=stored.moment(years),
            state="STORED",
        )


def found(cast, machines):
    return clocks.counters(
        scope=cast.scope(), machine_ids=[m.pk for m in machines], until=NOW
    )


def per_year(counters, place=0):
    run = slice(counters.bounds[place], counters.bounds[place + 1])
    seconds, trips = counters.seconds[run], counters.count[run]
    return (trips[-1] - trips[0]) / (seconds[-1] - seconds[0]) * clocks.YEAR_S


def test_counter_that_rolls_over_counts_on(north, machines):
    trips = [(t, (950_000 + A_YEAR * t) % 1e6) for t in (0.1, 0.4, 0.7, 1.5, 2.5)]
    count(north, machines[0], trips)

    counters = found(north, machines)

    assert np.all(np.diff(counters.count) > 0)
    assert per_year(counters) == pytest.approx(A_YEAR, rel=1e-6)


def test_counter_that_was_replaced_counts_from_its_replacement(north, machines):
    count(north, machines[0], [(1.0, 1e5), (2.0, 2e5), (3.0, 500.0), (4.0, 100_500.0)])

    counters = found(north, machines)

    assert counters.count.size == 2
    assert per_year(counters) == pytest.approx(A_YEAR, rel=1e-6)


def test_class_runs_on_trips_only_where_all_its_machines_count(north, machines):
    for machine in machines:
        stored.track(machine, levels=STEADY)
    tracks = loading.load(machine_ids=[m.pk for m in machines])
    count(north, machines[0], [(1.0, 1e5), (5.0, 5e5)])
    one = clocks.typical_years(tracks=tracks, found=found(north, machines))
    count(north, machines[1], [(1.0, 2e5), (5.0, 10e5)])

    both = clocks.typical_years(tracks=tracks, found=found(north, machines))

    assert one == {}
    assert both == {UNDERCUT: pytest.approx(1.5 * A_YEAR, rel=1e-6)}


def test_counter_of_a_few_weeks_is_too_short_a_clock(north, machines):
    count(north, machines[0], [(5.0, 1e5), (5.2, 1.2e5)])

    assert not found(north, machines).known.any()


def test_busier_machine_meets_its_limit_sooner_by_the_calendar(north, machines):
    """Both wear alike by the trip; one made half its trips, and is half as worn."""
    for machine, share in zip(machines, (1.0, 0.5), strict=True):
        stored.track(machine, levels=[(t, share * level) for t, level in STEADY])
        trips = [(t, share * A_YEAR * t) for t in (0.5, 2.0, 3.5, 5.0, 6.2)]
        count(north, machine, trips)
    stored.idle(north)
    # the class has two more machines without readings: they count trips as well
    for code in ("MH-1", "QC-1"):
        count(north, factories.machine(north.scope(), code), [(1.0, 1e5), (5.0, 5e5)])
    with acting_for(contractor_id=north.contractor.pk) as scope:
        learning.learn(scope=scope, now=NOW)

    stored.night(north)

    busy, quiet = (stored.current(machine) for machine in machines)
    assert (busy.clock, quiet.clock) == ("TRIPS", "TRIPS")
    assert busy.p50_on + timedelta(days=365) < quiet.p50_on
    assert busy.last_on == stored.moment(6.0).date() > BEGUN
