"""A restored service mails nothing until somebody releases it (fault 70)."""

import contextlib
import io

import celery
import pytest
from django.conf import settings
from django.core import mail as django_mail
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.models import Job, MailRelease, Person
from fleet.platform.access.factors.telling import FactorNews
from fleet.platform.choices import JobState
from fleet.platform.queue import jobs, mail_hold, tasks
from fleet.platform.watching.metrics import work as numbers
from fleet.register import people
from fleet.register import tasks as register_tasks
from inspections.models import UrgentMail
from inspections.urgent.mailing import HELD
from tests import callers, factories

pytestmark = pytest.mark.django_db

THIN = {"value": "9", "unit": "mm"}
WAITS = {"state": "QUEUED", "attempts": 0}


@pytest.fixture
def restored():
    """The row that came with a backup of another database."""
    return MailRelease.objects.create(
        database="7.00000001.5", changed_at=timezone.now(), changed_by="somebody"
    )


def command(name, **options):
    out = io.StringIO()
    call_command(name, stdout=out, **options)
    return out.getvalue()


def said_by_health():
    out = io.StringIO()
    with contextlib.suppress(CommandError):
        call_command("health", stdout=out)
    return out.getvalue().splitlines()[-1]


def page_of(cast, role):
    browser = Client()
    browser.force_login(cast.memberships[role].person)
    return browser.get(reverse("portfolio")).content.decode()


def mails(cast):
    callers.confine(cast)
    return UrgentMail.objects.order_by("pk")


def test_a_database_that_was_never_noted_is_noted_once_and_mails_are_not_held():
    assert not mail_hold.is_held()

    tasks.sweep()
    noted = MailRelease.objects.get().database
    tasks.sweep()

    assert noted == mail_hold.identity() == MailRelease.objects.get().database
    # A cluster, its timeline, a database in it: what a restore cannot keep.
    assert len(noted.split(".")) == 3
    assert all(noted.split("."))


@pytest.mark.parametrize("part", [0, 1, 2])
def test_another_cluster_timeline_or_database_holds_mails(part):
    words = mail_hold.identity().split(".")
    words[part] = "9"
    MailRelease.objects.create(database=".".join(words), changed_at=timezone.now())

    tasks.sweep()

    assert mail_hold.is_held()


def test_no_urgent_mail_goes_out_until_it_is_released_and_then_once(
    north, mail, clock, work, restored
):
    told = callers.upload(north, factories.upload(THIN)).json()["told"]
    work(minutes=1)

    assert told == HELD
    assert mail.mails() == []
    assert mails(north).values("state", "attempts").get() == WAITS

    said = command("release_mails")
    work(minutes=1)

    assert "urgent mails: 1 waiting" in said
    assert [message["Subject"] for message in mail.mails()] == ["Act now: MH-1"]
    assert mails(north).get().state == "SENT"


def test_looking_changes_nothing(north, mail, clock, work, restored):
    callers.upload(north, factories.upload(THIN))

    said = command("release_mails", dry_run=True)
    work(minutes=1)

    assert "Mails are held; nothing was changed." in said
    assert mail.mails() == []


def test_what_waited_can_be_dropped_and_says_so_and_later_ones_go(
    north, mail, clock, work, restored
):
    callers.upload(north, factories.upload(THIN))
    command("release_mails", drop_waiting=True)
    work(minutes=1)

    row = mails(north).get()
    assert (row.state, row.last_answer) == ("FAILED", mail_hold.DROPPED)
    assert mail.mails() == []
    assert not Job.objects.filter(
        kind="inspections.tasks.warn", state=JobState.QUEUED
    ).exists()


def test_somebody_can_hold_mails_by_hand(north, mail, clock, work):
    command("hold_mails")
    callers.upload(north, factories.upload(THIN))
    work(minutes=1)

    assert mail.mails() == []
    assert MailRelease.objects.get().changed_by


def test_health_metrics_and_the_pages_of_the_office_say_it(north, restored):
    [held] = [f for f in numbers.families(now=timezone.now()) if "mails" in f.name]
    office, technician = (page_of(north, role) for role in ("OFFICE", "TECHNICIAN"))

    assert [sample.value for sample in held.samples] == [1]
    assert "sends no mail" in office
    assert "sends no mail" not in technician
    assert said_by_health() == "mails: held until `manage.py release_mails`"


def test_an_invitation_waits_too_and_no_try_of_it_is_counted(north, restored, settings):
    person = north.memberships["TECHNICIAN"]
    [job_id] = jobs.write(
        kind=people.SEND_LINK,
        contractor_id=north.contractor.pk,
        subject_ids=[person.pk],
        due_at=timezone.now(),
    )

    register_tasks.send_link(job_id=job_id)
    waits = Job.objects.values("state", "attempts").get(pk=job_id)
    command("release_mails")
    settings.PUBLIC_URL = "https://lifts.example"
    register_tasks.send_link(job_id=job_id)

    assert waits == WAITS
    assert Job.objects.get(pk=job_id).state == JobState.DONE
    assert len(django_mail.outbox) == 1


def test_what_is_told_of_a_second_factor_waits_too(north, restored):
    member = north.memberships["OFFICE"]
    Person.objects.filter(pk=member.person_id).update(email="anna@lifts.example")
    kind = FactorNews.CODE_USED
    [job_id] = jobs.write(
        kind=kind,
        contractor_id=north.contractor.pk,
        subject_ids=[member.pk],
        due_at=timezone.now(),
    )
    work = celery.current_app.tasks[kind]

    work(job_id=job_id)
    waiting = Job.objects.values("state", "attempts").get(pk=job_id)
    command("release_mails")
    work(job_id=job_id)

    assert waiting == WAITS
    [mail] = django_mail.outbox
    assert "A recovery code was used" in mail.body


def test_every_job_that_mails_is_let_go_by_the_release():
    assert set(settings.MAIL_JOBS) >= {str(kind) for kind in FactorNews}
    assert set(settings.MAIL_JOBS) <= set(celery.current_app.tasks)
