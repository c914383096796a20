"""A clock that went back: nothing waits for a time that is no more. Fault 81."""

import os
from datetime import timedelta

import pytest
import time_machine

from fleet.models import Contractor, Job, Tick
from fleet.platform.choices import JobState
from fleet.platform.queue import clock, heartbeat, jobs, steady_beat, tasks, ticks
from inspections.models import Upload, UrgentMail
from tests import callers, factories

NOW = factories.NOW
WRONG_BY = timedelta(hours=30)
THEN = NOW + WRONG_BY


def write(subject, due_at):
    [job_id] = jobs.write(
        kind="inspections.tasks.assess",
        contractor_id=1,
        subject_ids=[subject],
        due_at=due_at,
    )
    return job_id


def due_of(job_id):
    return Job.objects.get(pk=job_id).due_at


@pytest.mark.django_db
def test_jobs_leases_mails_and_nights_of_the_wrong_time_are_brought_forward(north):
    Contractor.objects.update(nightly_due_at=THEN + timedelta(hours=20))
    waits, later = write(1, THEN), write(2, THEN + timedelta(hours=1))
    held, rung = write(3, THEN), write(4, NOW)
    jobs.claim(job_id=held, now=THEN)
    Job.objects.filter(pk=rung).update(rung_at=THEN)
    callers.confine(north)
    mail = UrgentMail.objects.create(
        contractor=north.contractor,
        membership_id=north.memberships["OFFICE"].pk,
        upload=Upload.objects.create(
            contractor=north.contractor,
            membership_id=north.memberships["OFFICE"].pk,
            fingerprint="0" * 64,
        ),
        address="ines@lifts.example",
        message_id="<1@lifts.example>",
        next_try_at=THEN,
    )
    ticks.note(name=ticks.SWEEP, at=THEN)

    assert clock.went_back(now=NOW) == WRONG_BY
    assert clock.went_back(now=NOW) == timedelta(0)

    assert due_of(waits) == NOW
    assert due_of(later) == NOW + timedelta(hours=1)
    assert Job.objects.get(pk=held).lease_until == NOW + timedelta(minutes=15)
    assert {pk for pk, _ in jobs.due(now=NOW)} >= {waits, rung}
    assert not Contractor.objects.filter(nightly_due_at__gt=NOW).exists()
    callers.confine(north)
    mail.refresh_from_db()
    assert mail.next_try_at == NOW


@pytest.mark.django_db
@pytest.mark.parametrize("ahead", [timedelta(0), timedelta(minutes=4), -WRONG_BY])
def test_clocks_that_differ_a_little_or_went_ahead_move_nothing(ahead):
    job_id = write(1, NOW + timedelta(hours=2))
    ticks.note(name=ticks.SWEEP, at=NOW + ahead)

    assert clock.went_back(now=NOW) == timedelta(0)
    assert due_of(job_id) == NOW + timedelta(hours=2)


@pytest.mark.django_db
def test_the_first_sweep_after_it_rings_what_would_have_waited(monkeypatch):
    job_id = write(1, THEN)
    ticks.note(name=ticks.SWEEP, at=THEN)
    rung = []
    monkeypatch.setattr(
        tasks, "wake", lambda *, job_ids, kind: rung.extend(job_ids) or True
    )

    with time_machine.travel(NOW, tick=False):
        tasks.sweep()

    assert rung == [job_id]
    assert Job.objects.get(pk=job_id).state == JobState.QUEUED
    assert Tick.objects.get(name=ticks.SWEEP).last_at == NOW


def test_beat_sends_its_ticks_on_when_the_clock_goes_back(monkeypatch):
    from fleet.project.celery import app

    sent = []
    monkeypatch.setattr(steady_beat.SteadyScheduler, "producer", None)
    monkeypatch.setattr(
        steady_beat.SteadyScheduler,
        "apply_entry",
        lambda self, entry, producer=None: sent.append(entry.name),
    )

    def live(seconds):
        for _ in range(seconds):
            while beat.tick() == 0:
                pass
            traveller.shift(1)
            steady[0] += 1

    steady = [1000.0]
    monkeypatch.setattr("time.monotonic", lambda: steady[0])
    with time_machine.travel(THEN, tick=False) as traveller:
        beat = steady_beat.SteadyScheduler(app=app)
        live(70)
        assert sent.count("sweep") >= 3
        sent.clear()
        traveller.move_to(NOW)
        live(70)
        assert sent.count("sweep") >= 3
        assert sent.count("nightly") >= 1


def test_a_sign_of_life_from_a_time_to_come_is_old(tmp_path, settings):
    settings.HEARTBEAT_FILE = str(tmp_path / "alive")
    heartbeat.leave()
    found = tmp_path / "alive"

    ahead = found.stat().st_mtime + WRONG_BY.total_seconds()
    os.utime(found, (ahead, ahead))

    assert heartbeat.age_s() > heartbeat.OLDEST_S
