"""A fleet's night leaves machines to their own first jobs, and only those."""

from datetime import timedelta

import pytest

from fleet.models import Job
from fleet.platform.choices import JobState
from fleet.platform.queue import jobs
from inspections import assessment, forecasts, newcomers, options
from inspections.intake.accepting import ASSESS
from inspections.models import OptionSet, WearTrack
from tests import callers, factories
from tests.inspections.options import worn

pytestmark = pytest.mark.django_db


@pytest.fixture
def north(monkeypatch):
    """A contractor whose jobs ring no bell."""
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    return factories.cast(code="north")


@pytest.fixture
def read(north):
    """A machine that was read through all its years and judged by nobody."""
    worn.read(north)
    Job.objects.all().delete()
    callers.confine(north)
    return factories.machine(north.scope())


def is_to_be_judged(cast, machine):
    [job_id] = jobs.write(
        kind=ASSESS,
        contractor_id=cast.contractor.pk,
        subject_ids=[machine.pk],
        due_at=worn.AT,
    )
    return Job.objects.filter(pk=job_id)


def prepared(cast, machine):
    """Prepare the fleet as a night does; tell whether the machine has series then."""
    forecasts.prepare_fleet(contractor_id=cast.contractor.pk, now=worn.AT)
    callers.confine(cast)
    return WearTrack.objects.filter(machine=machine).exists()


def given_options(cast, machine):
    options.recompute_chunk(scope=cast.scope(), first_id=machine.pk, as_of=worn.AT)
    return OptionSet.objects.filter(machine=machine).exists()


def among(cast, machine, now=worn.AT):
    return newcomers.among(scope=cast.scope(), machine_ids=[machine.pk], now=now)


def test_kind_is_that_of_intake():
    assert newcomers.ASSESS == ASSESS


def test_machine_about_to_be_judged_first_is_left_to_its_own_jobs(north, read):
    is_to_be_judged(north, read)

    assert among(north, read) == {read.pk}
    assert not prepared(north, read)
    assert not given_options(north, read)


def test_machine_that_nobody_will_judge_is_not_left_out(north, read):
    assert among(north, read) == set()
    assert prepared(north, read)
    assert given_options(north, read)


@pytest.mark.parametrize(
    "now",
    [{"attempts": 1}, {"state": JobState.FAILED}, {"state": JobState.DONE}],
    ids=lambda now: str(*now.values()),
)
def test_machine_whose_first_judgement_was_tried_is_not_left_out(north, read, now):
    is_to_be_judged(north, read).update(**now)

    assert among(north, read) == set()
    assert prepared(north, read)
    assert given_options(north, read)


def test_machine_that_waits_for_more_than_two_days_is_not_left_out(north, read):
    is_to_be_judged(north, read)
    late = read.created_at + newcomers.LATELY + timedelta(seconds=1)

    assert among(north, read, late - timedelta(seconds=2)) == {read.pk}
    assert among(north, read, late) == set()


def test_machine_that_was_judged_once_is_not_left_out(north, read):
    assessment.assess(scope=north.scope(), machine_ids=[read.pk], as_of=worn.AT)
    is_to_be_judged(north, read)

    assert among(north, read) == set()
    assert prepared(north, read)
    assert given_options(north, read)
