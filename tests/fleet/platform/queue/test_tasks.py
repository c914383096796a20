"""Ringing, sweeping, and the night of every contractor."""

import json
from collections import deque
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.db import transaction
from hypothesis import given
from hypothesis import strategies as st
from kombu.exceptions import OperationalError as BrokerAway

from fleet.models import Contractor, Job
from fleet.platform.choices import JobState
from fleet.platform.queue import jobs, spans, tasks
from tests import callers, factories

NOW = factories.NOW
KIND = "inspections.tasks.assess"


@pytest.fixture
def rung(monkeypatch):
    """Collect what is rung instead of sending it."""
    found = []
    monkeypatch.setattr(
        tasks.current_app,
        "send_task",
        lambda kind, kwargs: found.append(
            (kind, kwargs.get("job_id", kwargs.get("job_ids")))
        ),
    )
    return found


@pytest.fixture
def broker_away(monkeypatch):
    tries = []

    def fail(kind, kwargs):
        tries.append(kind)
        raise BrokerAway("refused")

    monkeypatch.setattr(tasks.current_app, "send_task", fail)
    return tries


# --- the bell -------------------------------------------------------------------------
@pytest.mark.django_db(transaction=True)
def test_the_bell_rings_only_when_the_cause_is_committed(rung):
    with transaction.atomic():
        tasks.wake_after_commit(job_ids=[1, 2], kind=KIND)
        assert rung == []
    with transaction.atomic():
        tasks.wake_after_commit(job_ids=[3], kind=KIND)
        transaction.set_rollback(True)

    assert rung == [(KIND, 1), (KIND, 2)]


@pytest.fixture
def broker(monkeypatch):
    """Keep messages in the order in which workers would take them."""
    waiting = deque()
    monkeypatch.setattr(
        tasks.current_app,
        "send_task",
        lambda kind, kwargs: waiting.append((kind, kwargs)),
    )
    return waiting


def heard(broker):
    """Take message after message; return the jobs in the order in which they were."""
    found = []
    while broker:
        # What goes over the wire is JSON.
        kind, told = json.loads(json.dumps(broker.popleft()))
        if kind == tasks.WAKE_IN_TURNS:
            tasks.wake_in_turns(**told)
        else:
            found.append(told["job_id"])
    return found


@pytest.mark.django_db(transaction=True)
def test_one_message_rings_for_the_many_jobs_of_a_large_upload(broker):
    many = [*range(1, 31), *range(40, 75), 90]

    with transaction.atomic():
        tasks.wake_after_commit(job_ids=many, kind=KIND)

    assert [kind for kind, _ in broker] == [tasks.WAKE_IN_TURNS]
    assert heard(broker) == many


@pytest.mark.django_db(transaction=True)
def test_nobody_stands_behind_the_whole_night_of_a_large_contractor(broker):
    with transaction.atomic():
        tasks.wake_after_commit(job_ids=range(1, 10_001), kind=KIND)
    tasks.wake_in_turns(**broker.popleft()[1])
    with transaction.atomic():
        tasks.wake_after_commit(job_ids=range(20_001, 20_061), kind=KIND)
        tasks.wake_after_commit(job_ids=[30_001], kind=KIND)

    order = heard(broker)

    assert sorted(order) == [*range(1, 10_001), *range(20_001, 20_061), 30_001]
    assert order.index(30_001) <= 2 * tasks.A_TURN
    # Sixty jobs are three turns, of two contractors.
    assert max(order.index(each) for each in range(20_001, 20_061)) <= 8 * tasks.A_TURN


@pytest.mark.django_db(transaction=True)
def test_a_message_of_the_version_before_is_understood(rung):
    tasks.wake_each(job_ids=[1, 2], kind=KIND)

    assert rung == [(KIND, 1), (KIND, 2)]
    rung.clear()

    tasks.wake_in_turns(spans=[[1, 2]], kind=KIND, a_turn=2)

    assert rung == [(KIND, 1), (KIND, 2)]


@pytest.mark.django_db(transaction=True)
def test_one_message_rings_for_jobs_that_are_done_together(broker):
    with transaction.atomic():
        tasks.wake_after_commit(job_ids=range(1, 21), kind=KIND, every=20)

    assert [told for _, told in broker] == [{"job_id": 1}]


@pytest.mark.django_db(transaction=True)
def test_a_large_contractors_night_is_rung_for_piece_by_piece_between_others(broker):
    with transaction.atomic():
        tasks.wake_after_commit(job_ids=range(1, 10_001), kind=KIND, every=20)
    tasks.wake_in_turns(**broker.popleft()[1])
    with transaction.atomic():
        tasks.wake_after_commit(job_ids=range(20_001, 20_061), kind=KIND, every=20)
        tasks.wake_after_commit(job_ids=[30_001], kind=KIND, every=20)

    order = heard(broker)

    assert sorted(order) == [*range(1, 10_001, 20), 20_001, 20_021, 20_041, 30_001]
    # In pieces, as above in jobs.
    assert order.index(30_001) <= 2
    assert max(order.index(each) for each in (20_001, 20_021, 20_041)) <= 8


@given(st.lists(st.integers(1, 60)), st.integers(1, 9))
def test_spans_name_the_ids_that_they_were_made_of(ids, count):
    left, taken = spans.spans_of(ids), []
    while left:
        now, left = spans.first_of(left, count=count)
        assert 1 <= len(now) <= count
        taken += now

    assert taken == sorted(set(ids))


@pytest.mark.django_db(transaction=True)
def test_many_jobs_are_left_to_the_sweeper_while_the_broker_is_away(broker_away):
    with transaction.atomic():
        tasks.wake_after_commit(job_ids=range(100), kind=KIND)

    assert broker_away == [tasks.WAKE_IN_TURNS]


@pytest.mark.django_db(transaction=True)
def test_an_upload_is_answered_while_the_broker_is_away(broker_away, rung, monkeypatch):
    # Faults 4 and 5: stored, answered, queued; rung by the sweeper once it can be.
    def fail(kind, kwargs):
        raise BrokerAway("refused")

    monkeypatch.setattr(tasks.current_app, "send_task", fail)
    cast = factories.cast()
    body = factories.upload({"value": "11.8", "unit": "mm"})

    answer = callers.upload_for_real(cast, body)

    assert answer.status_code == 207
    job = Job.objects.get()
    assert job.state == JobState.QUEUED
    monkeypatch.setattr(
        tasks.current_app,
        "send_task",
        lambda kind, kwargs: rung.append((kind, kwargs["job_id"])),
    )
    tasks.sweep()
    assert rung == [(KIND, job.pk)]


@pytest.mark.django_db(transaction=True)
def test_an_upload_is_answered_whatever_the_bell_does(monkeypatch):
    def fail(kind, kwargs):
        raise ValueError("an odd broker")

    monkeypatch.setattr(tasks.current_app, "send_task", fail)
    cast = factories.cast()

    answer = callers.upload_for_real(
        cast, factories.upload({"value": "11.8", "unit": "mm"})
    )

    assert answer.status_code == 207


@pytest.mark.django_db
def test_a_sweep_does_not_wait_for_a_dead_broker_at_every_job(broker_away):
    jobs.write(kind=KIND, contractor_id=1, subject_ids=range(20), due_at=NOW)

    tasks.sweep()

    assert len(broker_away) == 1


@pytest.mark.django_db
def test_a_sweep_rings_a_waiting_job_again_only_after_a_while(rung):
    [job_id] = jobs.write(kind=KIND, contractor_id=1, subject_ids=[7], due_at=NOW)
    heard = []

    with time_machine.travel(NOW, tick=False) as clock:
        for _ in range(360):
            tasks.sweep()
            if rung:
                heard.append((datetime.now(tz=UTC) - NOW) // timedelta(seconds=20))
                rung.clear()
            clock.shift(timedelta(seconds=20))

    # In sweeps of 20 s: at once, after 3 minutes, then after as long as it had waited,
    # and at least once an hour. All lost bells are made good.
    assert heard == [0, 9, 18, 36, 72, 144, 288]
    assert Job.objects.get(pk=job_id).state == JobState.QUEUED


@pytest.mark.django_db
def test_a_sweep_comes_to_every_job_of_a_backlog(rung):
    written = jobs.write(
        kind=KIND, contractor_id=1, subject_ids=range(1200), due_at=NOW
    )

    with time_machine.travel(NOW, tick=False) as clock:
        for _ in range(3):
            tasks.sweep()
            clock.shift(timedelta(seconds=20))

    # Once for each piece of twenty, and each job is in one.
    assert [job_id for _, job_id in rung] == written[::20]
    assert not Job.objects.filter(rung_at=None).exists()


@pytest.mark.django_db
def test_a_sweep_rings_by_itself_for_what_is_done_by_itself(rung):
    kind = "inspections.tasks.warn"
    written = jobs.write(kind=kind, contractor_id=1, subject_ids=range(3), due_at=NOW)

    tasks.sweep()

    assert rung == [(kind, job_id) for job_id in written]


def test_what_is_done_together_is_what_the_tasks_do_together(settings):
    together = {
        name
        for name, task in tasks.current_app.tasks.items()
        if "perform_together" in task.run.__code__.co_names
    }

    assert together == set(settings.JOBS_TOGETHER)


@pytest.mark.django_db
def test_a_job_whose_holder_died_is_rung_as_soon_as_its_lease_is_over(rung, settings):
    settings.JOB_LEASE_S = 60
    [job_id] = jobs.write(kind=KIND, contractor_id=1, subject_ids=[7], due_at=NOW)

    with time_machine.travel(NOW, tick=False) as clock:
        tasks.sweep()
        assert jobs.claim(job_id=job_id, now=NOW)
        clock.shift(timedelta(seconds=59))
        tasks.sweep()
        assert len(rung) == 1
        clock.shift(timedelta(seconds=1))
        tasks.sweep()

    assert rung == [(KIND, job_id)] * 2


@pytest.mark.django_db
def test_a_bell_that_the_broker_did_not_take_is_rung_at_the_next_sweep(
    broker_away, rung, monkeypatch
):
    [job_id] = jobs.write(kind=KIND, contractor_id=1, subject_ids=[7], due_at=NOW)
    tasks.sweep()
    monkeypatch.setattr(
        tasks.current_app,
        "send_task",
        lambda kind, kwargs: rung.append((kind, kwargs["job_id"])),
    )

    tasks.sweep()

    assert rung == [(KIND, job_id)]


@pytest.mark.django_db
def test_a_task_does_a_job_on_the_real_clock():
    [job_id] = jobs.write(kind=KIND, contractor_id=1, subject_ids=[7], due_at=NOW)
    Job.objects.update(due_at=datetime.now(tz=UTC) - timedelta(seconds=1))
    seen = []

    tasks.perform(job_id=job_id, activity=lambda job: seen.append(job.subject_id))

    assert seen == [7]


# --- the night ------------------------------------------------------------------------
@pytest.fixture
def contractor(db, settings, rung):
    settings.NIGHTLY_JOBS = ["inspections.tasks.nightly"]
    return Contractor.objects.create(
        name="North", code="north", time_zone="Europe/Lisbon", nightly_due_at=NOW
    )


def test_a_tick_fired_twice_starts_one_night(contractor):
    first = tasks.start_nightly_runs(now=NOW)
    second = tasks.start_nightly_runs(now=NOW)

    assert len(first) == 1
    assert second == []
    job = Job.objects.get()
    assert (job.kind, job.contractor_id) == ("inspections.tasks.nightly", contractor.pk)


def test_the_next_night_is_set_by_the_contractors_clock(contractor):
    tasks.start_nightly_runs(now=NOW)

    contractor.refresh_from_db()
    # 02:00 in Lisbon in summer is 01:00 UTC; NOW is 1 June, 09:00 UTC.
    assert contractor.nightly_due_at == datetime(2026, 6, 2, 1, 0, tzinfo=UTC)


def test_a_night_that_is_not_due_or_whose_contractor_is_retired_does_not_start(
    contractor,
):
    assert tasks.start_nightly_runs(now=NOW - timedelta(seconds=1)) == []
    Contractor.objects.update(retired_on=NOW.date())
    assert tasks.start_nightly_runs(now=NOW) == []


def test_a_zone_that_is_none_holds_up_no_others_night(contractor, caplog):
    bad = Contractor.objects.create(
        name="A", code="a", time_zone="Mars/Base", nightly_due_at=NOW
    )

    started = tasks.start_nightly_runs(now=NOW)

    assert [job.contractor_id for job in Job.objects.filter(pk__in=started)] == [
        contractor.pk
    ]
    assert f"contractor {bad.pk}" in caplog.text


@pytest.mark.parametrize(
    ("after", "zone", "night"),
    [
        # Plain nights; before and after 02:00 local.
        ("2026-06-01T00:30:00Z", "Europe/Lisbon", "2026-06-01T01:00:00Z"),
        ("2026-06-01T01:00:00Z", "Europe/Lisbon", "2026-06-02T01:00:00Z"),
        ("2026-01-10T12:00:00Z", "America/Halifax", "2026-01-11T06:00:00Z"),
        ("2026-01-10T12:00:00Z", "Pacific/Auckland", "2026-01-10T13:00:00Z"),
        ("2026-01-10T12:00:00Z", "Asia/Kathmandu", "2026-01-10T20:15:00Z"),
        # 8 March 2026: Halifax has no 02:00; the first instant after the jump.
        ("2026-03-08T05:59:00Z", "America/Halifax", "2026-03-08T06:00:00Z"),
        ("2026-03-08T06:00:00Z", "America/Halifax", "2026-03-09T05:00:00Z"),
        # 1 November 2026: Halifax goes from 02:00 back to 01:00; one 02:00 only.
        ("2026-11-01T04:30:00Z", "America/Halifax", "2026-11-01T06:00:00Z"),
        ("2026-11-01T05:30:00Z", "America/Halifax", "2026-11-01T06:00:00Z"),
        # 25 October 2026: Berlin has two 02:00; the first is taken, once.
        ("2026-10-24T23:00:00Z", "Europe/Berlin", "2026-10-25T00:00:00Z"),
        ("2026-10-25T00:00:00Z", "Europe/Berlin", "2026-10-26T01:00:00Z"),
        ("2026-10-25T01:00:00Z", "Europe/Berlin", "2026-10-26T01:00:00Z"),
    ],
)
def test_the_night_begins_at_two_by_the_wall_clock(after, zone, night):
    found = tasks.next_night(after=datetime.fromisoformat(after), zone=zone)

    assert found == datetime.fromisoformat(night)


@given(
    after=st.integers(946_684_800, 2_840_140_800).map(
        lambda seconds: datetime.fromtimestamp(seconds, tz=UTC)
    ),
    zone=st.sampled_from(
        ["UTC", "Europe/Berlin", "America/Halifax", "Australia/Lord_Howe",
         "Africa/Casablanca", "Asia/Tehran", "Pacific/Apia"]
    ),
)  # fmt: skip
def test_the_next_night_is_always_ahead_and_within_a_day_and_an_hour(after, zone):
    found = tasks.next_night(after=after, zone=zone)

    assert timedelta(0) < found - after <= timedelta(hours=25)
    assert 2 <= found.astimezone(ZoneInfo(zone)).hour <= 3
