"""Two connections at one machine's stops: each in its turn, and none thrown out."""

import threading
from contextlib import contextmanager

import pytest
from django.db import connection, transaction

from fleet.platform.database import tenancy
from inspections import reviews, tasks
from inspections.releases import ending, moving, refuting
from inspections.releases.problems import LookAgain
from inspections.stops import reopening
from tests import factories
from tests.inspections.stops.conftest import (
    NO_SLIP,
    SLIP,
    kinds,
    machine,
    mark_competent,
    stops,
)
from tests.inspections.stops.test_moving import visit_of

pytestmark = pytest.mark.django_db(transaction=True)

CRACK = {"kind": "check", "rope": None, "place": {"part": "crack"}, "value": "defect"}
LATER = "2026-05-05T10:00:00+01:00"
NOW = factories.NOW


@pytest.fixture
def north():
    with transaction.atomic():
        return factories.cast(code="north")


@pytest.fixture
def sent(read):
    """Send one visit's readings and have them stored when it is answered."""

    def send(*readings, **visit):
        with transaction.atomic():
            return read(*readings, **visit)

    return send


class Other:
    """What another connection does meanwhile; started once, its end is asked for."""

    def __init__(self, act):
        self._act, self._answer, self._error = act, None, None
        self._thread = threading.Thread(target=self._run)

    def start_and_wait_for_it_to_wait(self):
        self._thread.start()
        for _ in range(500):
            if self._is_waiting():
                return
            self._thread.join(0.02)
        raise AssertionError("the other connection did not wait")

    def end(self):
        self._thread.join(30)
        assert not self._thread.is_alive()
        if self._error is not None:
            raise self._error
        return self._answer

    def _run(self):
        try:
            self._answer = self._act()
        except Exception as error:
            self._error = error
        finally:
            connection.close()

    def _is_waiting(self):
        with connection.cursor() as cursor:
            cursor.execute("SELECT count(*) FROM pg_locks WHERE NOT granted")
            return cursor.fetchone()[0] > 0


@contextmanager
def acting(cast):
    """Act as the office in a transaction of this connection."""
    with tenancy.acting_for(contractor_id=cast.contractor.pk):
        yield cast.scope()


def standing(cast):
    with acting(cast):
        return stops(cast)


def one_then_all(cast, stop, meanwhile=lambda: None):
    """Take one stop, then all of its machine, as whoever refutes it does."""
    with acting(cast) as scope:
        ending.locked(scope=scope, stop_id=stop.pk)
        meanwhile()
        reopening.where_unproven(
            scope=scope, machine_ids=[stop.machine_id], told=[], now=NOW
        )


def test_who_refutes_two_stops_of_a_machine_at_once_waits_in_turn(north, sent):
    sent(SLIP, CRACK)
    first, second = standing(north)
    other = Other(lambda: one_then_all(north, first))

    # The other has the first, or waits for it: never both.
    one_then_all(north, second, meanwhile=other.start_and_wait_for_it_to_wait)

    other.end()


def test_a_visit_moved_there_and_one_moved_back_wait_in_turn(north, sent, monkeypatch):
    there = visit_of(sent(SLIP))
    back = visit_of(sent(SLIP, at=LATER, machine="QC-1"))
    with acting(north):
        targets = {there: machine(north, "QC-1").pk, back: machine(north).pk}

    def moved(visit):
        with acting(north) as scope:
            return moving.move(
                scope=scope,
                visit_id=visit,
                machine_id=targets[visit],
                why="the other label",
                now=NOW,
                most=100,
            )

    other, refuted = Other(lambda: moved(back)), moving._refuted

    def after_the_other(scope, visit, *given):
        # The copies stand at the right machine; now for what stops the wrong one.
        if visit.pk == there:
            other.start_and_wait_for_it_to_wait()
        return refuted(scope, visit, *given)

    monkeypatch.setattr(moving, "_refuted", after_the_other)
    moved(there)

    assert other.end().move.from_visit_id == back


def set_aside(cast, reading):
    with acting(cast) as scope:
        reviews.review(
            scope=scope, reading_id=reading, accepted=False, why="not here", now=NOW
        )


def refute(scope, stop):
    return refuting.refute(
        scope=scope,
        stop=ending.locked(scope=scope, stop_id=stop.pk),
        why="it was the brake",
        set_aside=(),
        now=NOW,
    )


@pytest.fixture
def looked(north, sent):
    """A slip, and a look that found none; returns that look's reading."""
    mark_competent(north)
    sent(SLIP)
    return sent(NO_SLIP, at=LATER)["readings"][0]["id"]


def test_a_look_set_aside_while_the_release_is_written_has_released_nothing(
    north, looked
):
    [stop] = standing(north)
    other = Other(lambda: set_aside(north, looked))

    with acting(north) as scope:
        refute(scope, stop)
        other.start_and_wait_for_it_to_wait()
    other.end()

    [stop] = standing(north)
    assert stop.is_open
    with acting(north):
        assert kinds(stop)[-2:] == ["RELEASED", "REOPENED"]


def test_a_machine_judged_while_its_stop_is_refuted_is_stopped_no_more(north, looked):
    [stop] = standing(north)

    def judged():
        with acting(north) as scope:
            tasks.assess_now(scope=scope, machine_ids=[stop.machine_id])

    other = Other(judged)
    with acting(north) as scope:
        refute(scope, stop)
        other.start_and_wait_for_it_to_wait()
    other.end()

    [stop] = standing(north)
    assert not stop.is_open


def test_a_release_that_waits_while_its_look_is_set_aside_is_none(north, looked):
    [stop] = standing(north)

    def released():
        with acting(north) as scope:
            return refute(scope, stop)

    other = Other(released)
    with acting(north) as scope:
        reviews.review(
            scope=scope, reading_id=looked, accepted=False, why="not here", now=NOW
        )
        other.start_and_wait_for_it_to_wait()

    with pytest.raises(LookAgain):
        other.end()
    assert standing(north)[0].is_open
