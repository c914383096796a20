"""Told means that somebody has said to have heard of it; else the next is told."""

import pytest
from django.utils import timezone

from fleet.models import Job, Machine, Membership, Person
from inspections import tasks
from inspections.models import StopEvent, UrgentMail
from inspections.stops import alerting, escalating, retiring
from tests import callers, factories
from tests.inspections.stops.conftest import SLIP, ask, kinds, machine, stops

pytestmark = pytest.mark.django_db


def hire(cast, name, *, order, role="TECHNICIAN"):
    person = Person.objects.create(username=name, email=f"{name}@lifts.example")
    return Membership.objects.create(
        person=person, contractor=cast.contractor, role=role, call_order=order
    )


def wait(cast, clock, minutes):
    """Let time pass and the jobs that are due then be done."""
    clock.shift(60 * minutes)
    queued = Job.objects.filter(kind=escalating.ESCALATE, state="QUEUED")
    for pk in list(queued.values_list("pk", flat=True)):
        tasks.escalate_stop(job_id=pk)
        callers.confine(cast)


def told(stop):
    rows = StopEvent.objects.filter(stop=stop, kind="ESCALATED").order_by("pk")
    return [pk for row in rows for pk in row.told]


# --- acknowledged ---------------------------------------------------------------------
def test_whoever_acknowledges_is_named_and_nobody_else_is_told(north, read, clock):
    hire(north, "cleo", order=1)
    read(SLIP)
    [stop] = stops(north)

    answer = ask(north, stop, "acknowledge", {"words": "on my way"}, role="TECHNICIAN")
    wait(north, clock, 61)

    assert answer.status_code == 200, answer.content
    assert answer.json()["acknowledged_by"] == north.memberships["TECHNICIAN"].pk
    [stop] = stops(north)
    assert kinds(stop) == ["RAISED", "TOLD", "ACKNOWLEDGED"]


def test_the_list_of_what_nobody_has_acknowledged(north, read):
    read(SLIP)
    path = "/api/v1/stops?released_at__isnull=true&acknowledged_at__isnull=true"
    before = callers.call(north, "GET", path).json()["results"]
    ask(north, stops(north)[0], "acknowledge", {})

    after = callers.call(north, "GET", path).json()["results"]

    assert (len(before), after) == (1, [])


def test_an_owners_reader_acknowledges_nothing(north, read):
    read(SLIP)

    answer = ask(north, stops(north)[0], "acknowledge", {}, role="OWNER_READER")

    assert callers.is_problem(answer, 403, "permission-denied")


def test_seen_running_is_recorded_and_has_to_be_heard_of_anew(north, read):
    read(SLIP)
    ask(north, stops(north)[0], "acknowledge", {})

    answer = ask(north, stops(north)[0], "seen-running", {"words": "the janitor rang"})

    assert answer.status_code == 200, answer.content
    [stop] = stops(north)
    assert kinds(stop)[-1] == "RUNNING_ALTHOUGH_STOPPED"
    assert stop.acknowledged_at is None


# --- the next on the list -------------------------------------------------------------
def test_the_next_on_the_list_hears_of_it_one_by_one_and_once(
    north, read, clock, caplog
):
    second, first = hire(north, "dora", order=2), hire(north, "cleo", order=1)
    hire(north, "emil", order=None)
    read(SLIP)
    [stop] = stops(north)

    wait(north, clock, 59)
    assert told(stop) == []
    wait(north, clock, 2)
    assert told(stop) == [first.pk]
    wait(north, clock, 61)
    assert told(stop) == [first.pk, second.pk]
    wait(north, clock, 61)

    assert told(stop) == [first.pk, second.pk]
    assert "nobody has acknowledged it, and the list ends" in caplog.text
    rows = UrgentMail.objects.exclude(stop_event=None).order_by("pk")
    addresses = list(rows.values_list("address", flat=True))
    assert addresses == ["cleo@lifts.example", "dora@lifts.example"]


def test_the_contractors_own_minutes_count(north, read, clock):
    first = hire(north, "cleo", order=1)
    north.contractor.acknowledge_minutes = 10
    north.contractor.save()
    read(SLIP)

    wait(north, clock, 11)

    assert told(stops(north)[0]) == [first.pk]


def test_a_mail_says_which_lift_stands_and_why(north, read, clock, mail):
    hire(north, "cleo", order=1)
    read(SLIP)
    wait(north, clock, 61)
    for pk in UrgentMail.objects.exclude(stop_event=None).values_list("pk", flat=True):
        tasks.warn(job_id=Job.objects.get(kind="inspections.tasks.warn", key=pk).pk)

    [message] = mail.mails()
    said = " ".join(message.get_content().split())
    for words in (
        "You are the next on the list",
        "Lift MH-1, Mill House, lift 1, Mill House",
        "the ropes were seen to slip",
        "isolate and lock out",
    ):
        assert words in said, words


# --- again after days -----------------------------------------------------------------
def test_an_open_stop_reaches_a_named_person_after_1_7_and_30_days(north, read, clock):
    read(SLIP)
    counts = []

    for days in (0, 1, 1, 5, 1, 22, 30):
        clock.shift(86_400 * days)
        callers.confine(north)
        due = escalating.due_reminders(scope=north.scope(), now=timezone.now())
        counts.append({person: len(events) for person, events in due.items()})

    office = north.memberships["OFFICE"].pk
    assert counts == [{}, {office: 1}, {}, {office: 1}, {}, {office: 1}, {}]


# --- retired, and back ----------------------------------------------------------------
def test_retirement_ends_a_stop_and_coming_back_opens_it(north, read, clock):
    read(SLIP)
    of = machine(north)
    Machine.objects.filter(pk=of.pk).update(retired_on="2026-05-04")
    retiring.follow(scope=north.scope(), now=factories.NOW)
    [ended] = stops(north)
    Machine.objects.filter(pk=of.pk).update(retired_on=None)

    retiring.follow(scope=north.scope(), now=factories.NOW)

    [stop] = stops(north)
    assert (ended.release, stop.release, stop.is_open) == ("RETIRED", "", True)
    assert kinds(stop) == ["RAISED", "TOLD", "RELEASED", "REOPENED"]


# --- the operator ---------------------------------------------------------------------
def test_stops_that_rules_alone_raise_on_many_machines_alert(
    north, read, assess, caplog
):
    window = {"place": {"window": "lay"}}
    read({"kind": "breaks_total", "rope": 1, "value": "60", "unit": "1", **window})
    assess()
    [stop] = stops(north)
    quiet = alerting.look(scope=north.scope(), now=factories.NOW)
    said = "stopped" in caplog.text
    stop.finding.assessment.cause = "RULES"
    stop.finding.assessment.save()

    loud = alerting.look(scope=north.scope(), now=factories.NOW)

    assert (quiet, said, loud) == (0, False, 1)
    assert "changed rules alone stopped 1 of 2 machines" in caplog.text
