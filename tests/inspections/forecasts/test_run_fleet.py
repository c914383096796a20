"""The nightly run: all of a fleet or none of it, twice without harm."""

from contextlib import closing
from datetime import timedelta

import pytest
from django.db import connection

from fleet.platform.database.tenancy import acting_for
from fleet.platform.queue import jobs
from inspections import forecasts, versions
from inspections.forecasts import knowledge, loading, projecting, results, tracks
from inspections.forecasts.knowledge import MODEL_VERSION
from inspections.models import (
    Forecast,
    ForecastRun,
    ForecastState,
    Hyperparameters,
    RunCause,
    RunState,
    WearTrack,
)
from tests import callers, factories
from tests.inspections.forecasts import stored
from tests.inspections.forecasts.stored import NOW, STEADY

pytestmark = pytest.mark.django_db

NIGHT = timedelta(days=1)


@pytest.fixture
def north():
    found = factories.cast()
    callers.confine(found)
    return found


def test_run_forecasts_every_machine_and_says_what_it_rested_on(north):
    machines = stored.estate(north, count=4)

    run = stored.night(north)

    assert (run.state, run.cause, run.model_version) == (
        RunState.DONE,
        RunCause.NIGHT,
        MODEL_VERSION,
    )
    # two machines of the register without readings besides
    assert (run.machines, run.tracks, run.readings) == (6, 14, 48)
    assert run.forecasts == Forecast.objects.filter(current=True).count() == 14
    found = stored.current(machines[0])
    assert found.run_id == run.pk
    assert found.model_version == MODEL_VERSION
    assert found.readings_used == WearTrack.objects.get(pk=found.track_id).readings
    assert found.p02_on < found.p10_on < found.p50_on < found.p90_on


def test_forecasts_are_stored_in_the_order_of_their_tracks(north):
    stored.estate(north, count=40)
    with connection.cursor() as cursor:
        # the join then gives its rows in no order of theirs
        cursor.execute("SET LOCAL enable_nestloop = off")
        cursor.execute("SET LOCAL enable_mergejoin = off")

    stored.night(north)

    tracks_of = Forecast.objects.order_by("pk").values_list("track_id", flat=True)
    assert list(tracks_of) == sorted(tracks_of)


def test_stray_reading_is_named_among_those_left_out(north):
    machine = stored.machines(north, count=1)[0]
    levels = [*STEADY[:3], (3.5, 3.4), *STEADY[3:]]
    row = stored.track(machine, levels=levels)

    stored.night(north)

    found = stored.current(machine)
    assert found.readings_left_out == [row.readings[3]]
    assert row.readings[3] not in found.readings_used


# Near its limit a place is what planning is for; 0.1 mm left, give or take 0.2, is
# computed another way than 2 mm left.
@pytest.mark.parametrize(
    "limit", [1.3, *(pytest.param(mm, marks=pytest.mark.long) for mm in (1.5, 3.2))]
)
@pytest.mark.parametrize(("safety", "planned"), [(True, "p02_on"), (False, "p10_on")])
def test_day_to_plan_before_is_the_cautious_one_near_the_limit_too(
    north, limit, safety, planned
):
    given = {"limit_level": limit, "limit_sd": 0.2, "safety": safety}
    machine = stored.machines(north, count=1)[0]
    stored.track(machine, levels=stored.STEADY, **given)
    stored.idle(north)

    stored.night(north)

    callers.confine(north)
    found = stored.current(machine)
    assert found.p02_on <= found.p10_on
    assert found.plan_before_on == getattr(found, planned)
    if found.visit_before_on is not None:
        assert found.visit_before_on <= max(found.p02_on, NOW.date())


def test_run_that_is_done_is_left_alone(north):
    stored.estate(north, count=2)
    run = stored.night(north)
    before = list(Forecast.objects.order_by("pk").values())

    with acting_for(contractor_id=north.contractor.pk) as scope:
        again = forecasts.run_fleet(scope=scope, run_id=run.pk, now=NOW + NIGHT)

    assert again == run.forecasts
    assert list(Forecast.objects.order_by("pk").values()) == before


def test_machine_is_put_off_while_its_whole_fleet_is_being_forecast(north):
    """A worker that waited would look after no other contractor (fault 80)."""
    machine = stored.estate(north, count=1)[0]
    both = [projecting.LOCK, north.contractor.pk % 2**31]
    given = {"scope": north.scope(), "machine_ids": [machine.pk], "as_of": NOW}
    elsewhere = connection.copy()
    with closing(elsewhere), elsewhere.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_lock(%s, %s)", both)

        with pytest.raises(jobs.NotNow):
            forecasts.project(**given)

        cursor.execute("SELECT pg_advisory_unlock(%s, %s)", both)

    forecasts.project(**given)


def test_fleet_is_prepared_piece_by_piece_and_each_piece_stays(north, monkeypatch):
    stored.estate(north, count=3)
    WearTrack.objects.update(prepared_by="0")
    monkeypatch.setattr(projecting, "TOGETHER", 1)
    held, every = [], projecting._machines(north.scope())

    def die_at_the_third():
        held.append(len(projecting._unready(north.scope(), every, NOW)))
        if len(held) == 3:
            raise LookupError

    with pytest.raises(LookupError):
        forecasts.prepare_fleet(
            contractor_id=north.contractor.pk, now=NOW, held=die_at_the_third
        )

    assert held == [4, 3, 2]
    assert not Forecast.objects.exists()


def test_series_made_while_the_fleet_is_prepared_keeps_its_later_readings(
    north, monkeypatch
):
    last = stored.estate(north, count=1)[-1]
    WearTrack.objects.update(prepared_by="0")
    monkeypatch.setattr(projecting, "TOGETHER", 1)
    prepared = []
    monkeypatch.setattr(
        tracks, "prepare", lambda *, machine_ids, **_: prepared.extend(machine_ids)
    )

    def project_the_last():
        its = WearTrack.objects.filter(machine=last)
        its.update(prepared_by=tracks.PREPARED_BY)

    forecasts.prepare_fleet(
        contractor_id=north.contractor.pk, now=NOW, held=project_the_last
    )

    assert len(prepared) == 2
    assert last.pk not in prepared


def test_second_night_says_the_same_and_keeps_no_repetition(north):
    stored.estate(north, count=2)
    stored.night(north)
    before = stored.said(north.scope())

    stored.night(north, now=NOW + NIGHT)

    after = stored.said(north.scope())
    assert [row["place"] for row in after] == [row["place"] for row in before]
    assert [row["p10_on"] for row in after] == [row["p10_on"] for row in before]


def test_forecast_that_says_the_same_is_left_as_it_is(north):
    machine = stored.machines(north, count=1)[0]
    stored.track(machine, levels=STEADY)
    stored.night(north)
    before = Forecast.objects.filter(machine=machine).values()[0]

    run = stored.night(north, now=NOW + NIGHT)

    assert list(Forecast.objects.filter(machine=machine).values()) == [before]
    assert run.forecasts == Forecast.objects.filter(current=True).count()


def test_repetition_stands_in_the_place_of_what_it_repeats(north):
    machine = stored.machines(north, count=1)[0]
    # not visited for three years: the next visit is due today, whatever day it is
    stored.track(machine, levels=[(1.0, 0.2), (2.0, 0.4), (3.0, 0.6)])
    stored.night(north)
    before = Forecast.objects.get(machine=machine)

    stored.night(north, now=NOW + NIGHT)

    after = Forecast.objects.get(machine=machine)
    assert after.pk == before.pk
    assert after.version == before.version + 1
    assert after.run_id > before.run_id
    assert (after.as_of, after.current) == (NOW + NIGHT, True)
    assert after.next_visit_on == before.next_visit_on + NIGHT
    assert after.plan_before_on == before.plan_before_on


def test_same_words_from_what_was_learnt_anew_are_those_of_the_new_run(north):
    machine = stored.machines(north, count=1)[0]
    stored.track(machine, levels=STEADY)
    stored.night(north)
    learnt = Hyperparameters.objects.create(
        contractor=north.contractor,
        learnt_at=NOW,
        model_version=MODEL_VERSION,
        record=knowledge.to_record(knowledge.shared()),
    )

    run = stored.night(north, now=NOW + NIGHT)

    after = Forecast.objects.get(machine=machine)
    assert (after.run_id, run.hyperparameters_id) == (run.pk, learnt.pk)


def test_forecast_of_which_no_run_is_known_is_said_anew(north):
    machine = stored.machines(north, count=1)[0]
    stored.track(machine, levels=STEADY)
    stored.night(north)
    Forecast.objects.filter(machine=machine).update(run=None, caution="of whom?")

    run = stored.night(north, now=NOW + NIGHT)

    after = Forecast.objects.get(machine=machine)
    assert (after.run_id, after.caution) == (run.pk, "")


def test_repetition_in_another_month_is_a_row_of_its_own(north):
    machine = stored.machines(north, count=1)[0]
    stored.track(machine, levels=STEADY)
    stored.night(north, now=NOW - NIGHT)

    stored.night(north)

    rows = Forecast.objects.filter(machine=machine).order_by("as_of")
    assert [(f.current, f.as_of) for f in rows] == [(False, NOW - NIGHT), (True, NOW)]


def test_repetition_of_a_limit_that_moved_says_the_new_dates(north):
    machine = stored.machines(north, count=1)[0]
    row = stored.track(machine, levels=STEADY)
    stored.night(north)
    before = Forecast.objects.get(machine=machine)
    type(row).objects.filter(pk=row.pk).update(limit_level=1.6)

    stored.night(north, now=NOW + NIGHT)

    after = Forecast.objects.get(machine=machine)
    assert (after.pk, after.limit) == (before.pk, 1.6)
    assert after.plan_before_on < before.plan_before_on


def test_forecast_of_a_place_that_is_another_now_is_forgotten(north):
    machine = stored.machines(north, count=1)[0]
    row = stored.track(machine, levels=STEADY)
    stored.night(north)
    before = Forecast.objects.get(machine=machine)
    type(row).objects.filter(pk=row.pk).update(place="groove 2")

    stored.night(north, now=NOW + NIGHT)

    after = Forecast.objects.get(machine=machine)
    assert after.place == "groove 2"
    assert after.pk != before.pk


def test_forecast_from_other_readings_is_kept_as_history(north):
    machine = stored.machines(north, count=1)[0]
    row = stored.track(machine, levels=STEADY)
    stored.night(north)
    stored.add(row, [(6.3, 1.3)])

    stored.night(north, now=NOW + NIGHT)

    rows = Forecast.objects.filter(machine=machine).order_by("as_of")
    assert [(f.current, len(f.readings_used)) for f in rows] == [(False, 6), (True, 7)]


def test_waiting_run_of_an_earlier_night_is_overtaken(north):
    stored.estate(north, count=1)
    with acting_for(contractor_id=north.contractor.pk) as scope:
        missed = forecasts.order_run(scope=scope, now=NOW - NIGHT)

    stored.night(north)

    assert ForecastRun.objects.get(pk=missed).state == RunState.SUPERSEDED


def test_run_that_fails_half_way_leaves_yesterdays_forecasts(north, monkeypatch):
    stored.estate(north, count=4)
    stored.night(north)
    before = list(Forecast.objects.order_by("pk").values())
    monkeypatch.setattr(loading, "TRACKS_A_CHUNK", 4)
    calls, store = [], results.store

    def store_twice(**given):
        calls.append(given)
        if len(calls) == 3:
            raise RuntimeError("out of memory")
        return store(**given)

    monkeypatch.setattr(results, "store", store_twice)

    with pytest.raises(RuntimeError):
        stored.night(north, now=NOW + 40 * NIGHT)

    callers.confine(north)
    assert len(calls) == 3
    assert list(Forecast.objects.order_by("pk").values()) == before


def test_chunks_cut_at_machines_change_nothing(north, monkeypatch):
    stored.estate(north, count=4)
    stored.night(north)
    whole = stored.said(north.scope())
    Forecast.objects.all().delete()
    monkeypatch.setattr(loading, "TRACKS_A_CHUNK", 4)

    stored.night(north)

    parts = stored.said(north.scope())
    assert [(r["p10_on"], r["p90_on"], r["state"]) for r in parts] == [
        (r["p10_on"], r["p90_on"], r["state"]) for r in whole
    ]


def test_run_touches_no_other_contractor(north):
    south = factories.cast(code="south")
    callers.confine(south)
    stored.estate(south, count=1)
    callers.confine(north)
    stored.estate(north, count=1)

    stored.night(north)

    callers.confine(south)
    assert not Forecast.objects.exists()


def test_one_bad_course_does_not_spoil_the_batch(north):
    good, bad = stored.machines(north, count=2)
    stored.track(good, levels=STEADY)
    stored.track(bad, levels=[(1.0, 1e300), (2.0, -1e300)], limit_level=1e-300)

    run = stored.night(north)

    assert run.state == RunState.DONE
    assert stored.current(good).state != ForecastState.NONE
    assert stored.current(bad).state in (ForecastState.NONE, ForecastState.SUSPENDED)
    assert stored.current(bad).reason


def test_machines_never_prepared_are_made_ready_by_the_run(north):
    machine = factories.machine(north.scope())

    stored.night(north)

    assert WearTrack.objects.filter(machine=machine).exists()
    assert stored.current(machine).state == ForecastState.NONE


# Fault 56: tracks that another version of the code has made are made anew.
def test_courses_of_another_version_are_made_anew(north):
    machine = factories.machine(north.scope())
    stored.track(machine, levels=STEADY, place="groove 77", prepared_by="0")

    stored.night(north)

    old = WearTrack.objects.get(machine=machine, place="groove 77")
    assert old.closed_on is not None
    assert old.prepared_by == tracks.PREPARED_BY


# Fault 56: a run that another version ordered says which version has done it.
def test_run_names_the_version_that_did_it(north):
    stored.estate(north, count=1)
    with acting_for(contractor_id=north.contractor.pk) as scope:
        run_id = forecasts.order_run(scope=scope, now=NOW)
        ForecastRun.objects.filter(pk=run_id).update(model_version="0")

        forecasts.run_fleet(scope=scope, run_id=run_id, now=NOW)

    assert ForecastRun.objects.get(pk=run_id).model_version == MODEL_VERSION


def test_thousands_of_places_without_readings_have_a_row_each(north):
    machine = stored.machines(north, count=1)[0]
    row = stored.track(machine, levels=(), place="place 0")
    own = {
        field.attname: getattr(row, field.attname)
        for field in WearTrack._meta.concrete_fields
        if field.attname not in ("id", "created_at", "place")
    }
    WearTrack.objects.bulk_create(
        WearTrack(**own, place=f"place {n}") for n in range(1, 3000)
    )

    stored.night(north)

    rows = Forecast.objects.filter(machine=machine, current=True)
    assert rows.count() == 3000
    assert not rows.exclude(p10_on=None).exists()
    assert set(rows.values_list("state", "reason")) == {
        (ForecastState.NONE, "no reading yet")
    }


@pytest.mark.parametrize("made_by", ["runs", "series"])
def test_older_version_leaves_forecasts_of_a_newer_one(north, made_by):
    stored.estate(north, count=2)
    stored.night(north)
    if made_by == "runs":
        ForecastRun.objects.update(model_version="99")
    else:
        WearTrack.objects.update(prepared_by=f"{versions.FORECASTING}.99")
    before = set(Forecast.objects.filter(current=True).values_list("pk", flat=True))
    machine = Forecast.objects.filter(current=True).first().machine_id

    with pytest.raises(versions.NewerRules, match="99 stands"):
        stored.night(north, now=NOW + NIGHT)
    with pytest.raises(versions.NewerRules, match="99 stands"):
        forecasts.project(scope=north.scope(), machine_ids=[machine], as_of=NOW)

    after = set(Forecast.objects.filter(current=True).values_list("pk", flat=True))
    assert after == before


def test_newer_version_replaces_forecasts_of_an_older_one(north):
    stored.estate(north, count=2)
    stored.night(north)
    ForecastRun.objects.update(model_version="1")
    WearTrack.objects.update(prepared_by="1")

    run = stored.night(north, now=NOW + NIGHT)

    assert run.state == RunState.DONE
    assert not Forecast.objects.filter(current=True).exclude(run=run).exists()
