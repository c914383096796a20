"""Metrics for a watcher that has the token: numbers, and nobody's name."""

import json
import re
import tomllib
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from prometheus_client.parser import text_string_to_metric_families as parsed

from fleet.models import Contractor, Job
from fleet.platform.queue import jobs, ticks
from fleet.platform.watching import version
from inspections.stops import alerting
from tests import callers, estates, factories
from tests.fleet.installation import ROOT

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)
TOKEN = "token of the watcher"
ASSESS = "inspections.tasks.assess"
NIGHTLY = "inspections.tasks.nightly"


def ask(token=TOKEN, **how):
    headers = {} if token is None else {"Authorization": f"Bearer {token}"}
    return callers.call(None, how.pop("method", "GET"), "/metrics", **headers, **how)


def numbers():
    """Return the page as {name: {label values: number}}."""
    with time_machine.travel(NOW, tick=False):
        answer = ask()
    assert answer.status_code == 200, answer.content
    return {
        family.name: {tuple(one.labels.values()): one.value for one in family.samples}
        for family in parsed(answer.content.decode())
    }


@pytest.fixture
def watched(settings):
    settings.METRICS_TOKEN = TOKEN


# --- the door -------------------------------------------------------------------------
def test_without_a_token_of_its_own_there_is_no_such_page():
    for token in (None, "None", ""):
        assert callers.is_problem(ask(token), 404, "not-found")


@pytest.mark.parametrize("shown", [None, "", "wrong", "ä", f"{TOKEN} ", f" {TOKEN}x"])
def test_another_token_opens_nothing(watched, shown):
    answer = ask(shown)

    assert answer.status_code == 401
    assert answer["WWW-Authenticate"] == "Bearer"
    assert answer.content == b""


def test_a_devices_token_opens_nothing(watched, north):
    answer = callers.call(north, "GET", "/metrics")

    assert answer.status_code == 401


def test_the_page_is_only_read(watched):
    assert ask(method="POST").status_code == 405


def test_no_store_keeps_the_page(watched):
    answer = ask()

    assert answer["Content-Type"] == "text/plain; version=0.0.4; charset=utf-8"
    assert "no-store" in answer["Cache-Control"]


# --- what stands there ----------------------------------------------------------------
@pytest.fixture
def cast(watched):
    return factories.cast(code="north")


def test_jobs_are_counted_by_kind_and_state(cast):
    write(cast, ASSESS, 1, 2)
    write(cast, NIGHTLY, 1)
    Job.objects.filter(subject_id=2).update(state="FAILED")

    assert numbers()["ropeseat_jobs"] == {
        (ASSESS, "FAILED"): 1,
        (ASSESS, "QUEUED"): 1,
        (NIGHTLY, "QUEUED"): 1,
    }


def write(cast, kind, *subjects, due_at=NOW):
    return jobs.write(
        kind=kind,
        contractor_id=cast.contractor.pk,
        subject_ids=subjects,
        due_at=due_at,
    )


def test_the_longest_wait_counts_from_when_a_job_was_due(cast):
    write(cast, ASSESS, 1, due_at=NOW - timedelta(seconds=30))
    write(cast, ASSESS, 2, due_at=NOW - timedelta(seconds=90))
    write(cast, NIGHTLY, 1, due_at=NOW + timedelta(seconds=1))

    assert numbers()["ropeseat_job_oldest_due_age_seconds"] == {(ASSESS,): 90}


def test_a_job_whose_worker_died_waits_since_its_lease_ended(cast):
    write(cast, ASSESS, 1, 2, due_at=NOW - timedelta(hours=9))
    running = Job.objects.filter(subject_id=1)
    Job.objects.filter(subject_id=2).update(state="DONE")
    running.update(state="RUNNING", lease_until=NOW - timedelta(seconds=5))
    assert numbers()["ropeseat_job_oldest_due_age_seconds"] == {(ASSESS,): 5}

    running.update(lease_until=NOW + timedelta(seconds=5))
    assert numbers()["ropeseat_job_oldest_due_age_seconds"] == {}


PUT_OFF = "ropeseat_job_put_off_oldest_age_seconds"


def put_off(job):
    raise jobs.NotNow("something else is at work", wait=timedelta(minutes=1))


def tried(job_id, minute, activity=put_off):
    now = NOW + timedelta(minutes=minute)
    jobs.perform(job_id=job_id, activity=activity, clock=lambda: now)


def test_a_job_that_is_put_off_again_and_again_grows_old_though_it_is_never_due(cast):
    # Its due time moves on each time: for an hour the longest wait says nothing of it.
    start = NOW - timedelta(hours=1)
    [job_id] = write(cast, ASSESS, 1, due_at=start)

    for minute in range(-60, 1):
        tried(job_id, minute)

    found = numbers()
    assert found["ropeseat_job_oldest_due_age_seconds"] == {}
    assert found[PUT_OFF] == {(ASSESS,): 3600}


def test_a_job_that_is_put_off_is_as_old_while_it_is_tried_once_more(cast):
    [job_id] = write(cast, ASSESS, 1, due_at=NOW - timedelta(minutes=5))
    tried(job_id, -5)
    jobs.claim(job_id=job_id, now=NOW)

    assert numbers()[PUT_OFF] == {(ASSESS,): 300}


def test_the_same_job_queued_anew_has_been_put_off_as_long(cast):
    [job_id] = write(cast, ASSESS, 1, due_at=NOW - timedelta(minutes=9))
    tried(job_id, -9)
    job = jobs.claim(job_id=job_id, now=NOW - timedelta(minutes=7))
    write(cast, ASSESS, 1)
    jobs._put_off(job=job, due_at=NOW, now=NOW)

    assert Job.objects.get(pk=job_id).state == "CANCELLED"
    assert numbers()[PUT_OFF] == {(ASSESS,): 540}


def test_a_job_that_got_its_turn_is_put_off_no_more(cast):
    done, failed = write(cast, ASSESS, 1, 2, due_at=NOW - timedelta(minutes=9))
    for job_id in (done, failed):
        tried(job_id, -9)

    def fail(job):
        raise LookupError

    tried(done, -8, lambda job: None)
    with pytest.raises(LookupError):
        tried(failed, -8, fail)

    assert numbers()[PUT_OFF] == {}


def test_ticks_say_when(cast):
    ticks.note(name="sweep", at=NOW)

    assert numbers()["ropeseat_tick_last_timestamp_seconds"] == {
        ("sweep",): NOW.timestamp()
    }


def test_nights_are_told_by_the_contractors_number(cast):
    due, done = NOW + timedelta(hours=5), NOW - timedelta(hours=7)
    Contractor.objects.update(nightly_due_at=due)
    write(cast, NIGHTLY, cast.contractor.pk)
    Job.objects.update(state="DONE", finished_at=done)
    number = (str(cast.contractor.pk),)

    page = numbers()
    assert page["ropeseat_nightly_due_timestamp_seconds"] == {number: due.timestamp()}
    assert page["ropeseat_nightly_last_timestamp_seconds"] == {number: done.timestamp()}

    Contractor.objects.update(retired_on=NOW.date())
    page = numbers()
    assert page["ropeseat_nightly_due_timestamp_seconds"] == {}
    assert page["ropeseat_nightly_last_timestamp_seconds"] == {}


def test_what_changed_rules_alone_have_stopped_is_a_share(cast, monkeypatch):
    assert numbers()["ropeseat_stopped_by_rules_share"] == {(): 0}

    monkeypatch.setattr(alerting, "counted", lambda **_: (3, 12))

    assert numbers()["ropeseat_stopped_by_rules_share"] == {(): 0.25}


def test_versions_are_told(cast):
    page = numbers()

    assert page["ropeseat_build_info"] == {(version.VERSION,): 1}
    assert {method for method, _ in page["ropeseat_method_info"]} == {
        "assessment",
        "forecast",
        "options",
    }
    assert len(page["ropeseat_report_content_info"]) == 1


def test_the_version_is_the_projects():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]

    assert project["version"] == version.VERSION


def test_the_page_names_nobody_and_nothing(watched):
    world = estates.world()
    page = ask().content.decode().lower()
    fixture = json.dumps([factories.portfolio(code=c) for c in ("north", "south")])
    names = set(re.findall(r'"(?:name|code|username)": "([^"]{3,})"', fixture.lower()))

    assert world.north.contractor.code in names
    assert len(names) > 10
    assert {name for name in names if name in page} == set()
