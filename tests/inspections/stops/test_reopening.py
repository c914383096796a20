"""A release ends with what was read for it: the stop is open again, and told."""

from datetime import timedelta

import pytest

from fleet.models import Machine, Work
from inspections.models import DueWork, MachineState, UrgentMail
from inspections.stops import escalating, retiring
from inspections.urgent.letter import compose
from tests import callers, factories
from tests.inspections.stops.conftest import (
    NO_SLIP,
    SLIP,
    ask,
    kinds,
    machine,
    mark_competent,
    stops,
)
from tests.inspections.stops.test_moving import move, visit_of
from tests.inspections.stops.test_releasing import HOLDS, SLIDES, accept, tried

pytestmark = pytest.mark.django_db

LATER = "2026-05-05T10:00:00+01:00"
WHY = {"why": "it was the brake"}


@pytest.fixture
def refuted(north, read, assess):
    """A slip that was refuted because it was looked at again; returns that visit."""
    mark_competent(north)
    read(SLIP)
    assess()
    looked = read(NO_SLIP, at=LATER)
    [stop] = stops(north)
    answer = ask(north, stop, "refute", WHY)
    assert answer.status_code == 200, answer.content
    return looked


def is_stopped(cast):
    row = MachineState.objects.get(machine=machine(cast))
    due = DueWork.objects.filter(machine=machine(cast), out_of_service=True)
    return row.stops == 1 and due.exists()


def set_aside(cast, reading):
    body = {"accepted": False, "why": "it was the other machine"}
    answer = callers.call(cast, "POST", f"/api/v1/readings/{reading}/review", body)
    assert answer.status_code in (200, 201), answer.content


def test_a_look_at_another_machine_has_released_nothing(north, refuted):
    move(north, visit_of(refuted))

    [stop] = stops(north)
    assert stop.is_open
    assert (stop.release_why, stop.release_readings) == ("", [])
    assert kinds(stop)[-2:] == ["RELEASED", "REOPENED"]
    assert is_stopped(north)


def test_the_office_is_told_that_it_stands_again(north, refuted):
    move(north, visit_of(refuted))

    [mail] = UrgentMail.objects.filter(stop_event__kind="REOPENED")
    letter = compose(mail=mail, now=factories.NOW)
    assert letter.subject.startswith("OUT OF SERVICE: MH-1")
    assert "released and stand again" in letter.body


def test_a_look_that_is_set_aside_has_released_nothing(north, refuted):
    set_aside(north, refuted["readings"][0]["id"])

    [stop] = stops(north)
    assert stop.is_open


def test_a_look_that_was_none_by_its_own_correction_has_released_nothing(
    north, read, assess
):
    mark_competent(north)
    crack = {"kind": "check", "rope": None, "place": {"part": "crack"}}
    read({**crack, "value": "defect"})
    assess()
    read({**crack, "value": "pass"}, at=LATER)
    [stop] = stops(north)
    ask(north, stop, "refute", {"why": "a scratch"})
    none = {**crack, "value": "not seen", "corrects": "s-2-0", "note": "no light"}
    body = factories.upload(
        {**none, "reference": "again"}, reference="sv-2", visited_at=LATER
    )

    answer = callers.upload(north, body, role="TECHNICIAN").json()

    assert answer["readings"][0]["outcome"] == "stored", answer
    assert stops(north)[0].is_open


def test_a_correction_that_was_none_by_the_next_has_ended_nothing(north, read):
    crack = {"kind": "check", "rope": None, "place": {"part": "crack"}}
    read({**crack, "value": "defect"})
    for number, (word, of) in enumerate((("pass", "s-1-0"), ("not seen", "c-0"))):
        more = {"value": word, "corrects": of, "note": "wrong box"}
        row = {**crack, **more, "reference": f"c-{number}"}
        at = "2026-05-04T10:00:00+01:00"
        body = factories.upload(row, reference="sv-1", visited_at=at)
        answer = callers.upload(north, body, role="TECHNICIAN").json()
        assert answer["readings"][0]["outcome"] == "stored", answer

    [stop] = stops(north)
    assert kinds(stop)[-2:] == ["RELEASED", "REOPENED"]
    assert stop.is_open


def test_a_machine_that_was_out_of_use_meanwhile_comes_back_stopped(north, refuted):
    Machine.objects.update(retired_on=factories.NOW.date())
    set_aside(north, refuted["readings"][0]["id"])
    retiring.follow(scope=north.scope(), now=factories.NOW)
    Machine.objects.update(retired_on=None)

    retiring.follow(scope=north.scope(), now=factories.NOW)

    [stop] = stops(north)
    assert stop.is_open


def reminded(cast, at):
    found = escalating.due_reminders(scope=cast.scope(), now=at)
    return sum(map(len, found.values()))


def test_reminders_are_counted_anew(north, read, assess):
    mark_competent(north)
    read(SLIP)
    assess()
    [stop] = stops(north)
    long_after = stop.created_at + timedelta(days=60)
    assert [reminded(north, long_after) for _ in range(4)] == [1, 1, 1, 0]
    looked = read(NO_SLIP, at=LATER)
    assert ask(north, stop, "refute", WHY).status_code == 200

    move(north, visit_of(looked))

    again = stop.events.get(kind="REOPENED").at
    days = (0, 1, 1, 7, 8, 30)
    due = [reminded(north, again + timedelta(days=number)) for number in days]
    assert due == [0, 1, 0, 1, 0, 1]


def test_another_look_that_stays_is_enough(north, read, assess):
    mark_competent(north)
    read(SLIP)
    first = read(NO_SLIP, at=LATER)
    read(NO_SLIP, at="2026-05-06T10:00:00+01:00")
    [stop] = stops(north)
    ask(north, stop, "refute", WHY)

    move(north, visit_of(first))

    assert not stops(north)[0].is_open


def test_each_case_of_a_test_is_still_to_be_read(north, read):
    mark_competent(north)
    read(tried("empty car up", "slipped"), tried("125 % static", "slipped"))
    [stop] = stops(north)
    read(tried("empty car up", "held"), at=LATER)
    static = read(tried("125 % static", "held"), at="2026-05-05T12:00:00+01:00")
    ask(north, stop, "refute", WHY)

    set_aside(north, static["readings"][0]["id"])

    assert stops(north)[0].is_open


def test_work_that_was_read_as_left_elsewhere_is_not_read_as_left(north, read, assess):
    mark_competent(north)
    read(SLIDES)
    assess()
    work = Work.objects.create(
        contractor=north.contractor,
        machine=machine(north),
        kind="REPAIR",
        done_on="2026-05-05",
        done_by="crew 4",
    ).pk
    left = read(HOLDS, kind="AS_LEFT", at="2026-05-05T15:00:00+01:00")
    assess()
    [stop] = stops(north)
    assert accept(north, stop, work).status_code == 200

    move(north, visit_of(left))

    [stop] = stops(north)
    assert stop.is_open
    assert stop.release_work is None


def test_what_was_raised_anew_since_is_not_opened_twice(north, refuted, read):
    read(SLIP, at="2026-05-07T10:00:00+01:00")

    move(north, visit_of(refuted))

    assert [stop.is_open for stop in stops(north)] == [False, True]
