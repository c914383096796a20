"""Weekly learning: each contractor's own, a shared beginning, versions kept."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from fleet.platform.database.tenancy import acting_for
from inspections.forecasts import knowledge, learning
from inspections.models import Hyperparameters, SharedPrior
from inspections.projection.hyper import ClassHyperparameters as Wear
from tests import callers, factories
from tests.inspections.forecasts import stored
from tests.inspections.forecasts.stored import NOW, UNDERCUT

pytestmark = pytest.mark.django_db

WEEK = timedelta(days=7)
CLASS = knowledge.series.CLASSES.index(UNDERCUT)


@pytest.fixture
def north():
    found = factories.cast()
    callers.confine(found)
    return found


def learn(cast, *, now=NOW):
    with acting_for(contractor_id=cast.contractor.pk) as scope:
        return Hyperparameters.objects.get(pk=learning.learn(scope=scope, now=now))


def rate(known):
    return float(np.exp(known.wear.log_rate[CLASS]))


def test_learning_moves_towards_the_fleet_and_says_from_how_much(north):
    stored.estate(north, count=8)

    row = learn(north)

    # the machines wear at 0.12 to 0.26 mm a year; 0.12 is assumed without a fleet
    assert 0.13 < rate(knowledge.from_record(row.record)) < 0.20
    assert row.model_version == knowledge.MODEL_VERSION
    assert (row.machines, row.readings) == (10, 96)


def test_fleet_of_few_machines_stays_near_what_is_shared(north):
    stored.estate(north, count=3)

    row = learn(north)

    assert rate(knowledge.from_record(row.record)) == pytest.approx(0.12, rel=0.05)


def test_forecasts_name_the_learning_they_rest_on(north):
    stored.estate(north, count=2)
    assert stored.night(north).hyperparameters is None
    row = learn(north)

    run = stored.night(north, now=NOW + timedelta(days=1))

    assert run.hyperparameters_id == row.pk


def test_learning_is_due_once_a_week(north):
    scope = north.scope()
    assert learning.is_due(scope=scope, now=NOW)

    stored.estate(north, count=1)
    learn(north)

    assert not learning.is_due(scope=scope, now=NOW + timedelta(days=6))
    assert learning.is_due(scope=scope, now=NOW + WEEK)


def test_every_learning_is_kept_and_the_latest_counts(north):
    stored.estate(north, count=8)
    first = learn(north)
    second = learn(north, now=NOW + WEEK)

    _, row = knowledge.latest(scope=north.scope())

    assert row == second
    assert Hyperparameters.objects.filter(pk=first.pk).exists()


# Fault 56: what another version of the model has learnt is left to that version.
def test_what_another_version_has_learnt_is_not_used(north):
    stored.estate(north, count=8)
    row = learn(north)
    Hyperparameters.objects.filter(pk=row.pk).update(model_version="99")

    known, found = knowledge.latest(scope=north.scope())

    assert found is None
    assert rate(known) == pytest.approx(rate(knowledge.assumed()))


def test_record_that_is_not_finite_is_refused():
    record = knowledge.to_record(knowledge.assumed())
    record["wear"]["log_rate"][0] = float("nan")

    with pytest.raises(ValueError, match="log_rate is not finite"):
        knowledge.from_record(record)


def test_record_without_a_class_of_today_is_as_assumed_there():
    record = knowledge.to_record(knowledge.assumed())
    record["classes"][CLASS] = "a class of long ago"
    record["wear"]["log_rate"][CLASS] = 5.0

    assert rate(knowledge.from_record(record)) == pytest.approx(0.12)


def test_record_comes_back_as_it_was():
    known = knowledge.assumed()

    again = knowledge.from_record(knowledge.to_record(known))

    assert knowledge.to_record(again) == knowledge.to_record(known)


def fleet_of(rate_mm, *, machines=20.0):
    base = knowledge.assumed()
    columns = {name: getattr(base.wear, name).copy() for name in Wear.__slots__}
    columns["log_rate"][CLASS] = np.log(rate_mm)
    columns["machines"][CLASS] = machines
    return replace(base, wear=Wear(**columns))


def test_shared_prior_is_the_mean_of_three_contractors_and_counts_none():
    fleets = [fleet_of(0.2), fleet_of(0.4), fleet_of(0.8)]

    found = knowledge.pooled(fleets=fleets)

    assert rate(found) == pytest.approx(0.4)
    assert not found.wear.machines.any()
    assert not found.wear.readings.any()


@pytest.mark.parametrize(
    "fleets",
    [
        [fleet_of(0.5), fleet_of(0.5)],
        [fleet_of(0.5), fleet_of(0.5), fleet_of(0.5, machines=4.0)],
    ],
)
def test_class_of_too_few_contractors_or_machines_is_shared_with_nobody(fleets):
    assert rate(knowledge.pooled(fleets=fleets)) == pytest.approx(0.12)


def test_new_contractor_begins_with_what_three_others_taught():
    casts = [factories.cast(code=code) for code in ("north", "south", "east")]
    for cast in casts:
        callers.confine(cast)
        stored.estate(cast, count=8)
        learn(cast)
    west = factories.cast(code="west")

    assert learning.pool(now=NOW)

    with acting_for(contractor_id=west.contractor.pk) as scope:
        known, row = knowledge.latest(scope=scope)
    assert row is None
    assert rate(known) > 1.05 * rate(knowledge.assumed())
    assert not learning.pool(now=NOW + timedelta(days=2))
    assert SharedPrior.objects.count() == 1
