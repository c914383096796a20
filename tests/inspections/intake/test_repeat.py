"""Uploads that come twice, at once, or cut off; faults 8, 9, 11 and 12."""

import socket
import threading
from collections import Counter

import pytest
from django.db import connection, transaction
from django.test import LiveServerTestCase
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleet.platform.database import tenancy
from inspections.assessment import storing
from inspections.models import Reading, Upload, Visit
from inspections.options import working_out
from tests import callers, factories

GOOD = {"value": "11.8", "unit": "mm"}

# Ways to spoil a reading; each is refused, whatever stands beside it.
SPOILT = (
    {"unit": "kg"},
    {"value": "11,8"},
    {"value": "NaN"},
    {"rope": 9},
    {"kind": "nothing"},
    {"colour": 1},
    {"taken_at": "2026-05-04T10:00:00"},
)


def at_once(*sends):
    """Run the calls in threads that start together; return their answers."""
    start, answers = threading.Barrier(len(sends)), [None] * len(sends)

    def run(number, send):
        start.wait(20)
        try:
            answers[number] = send()
        finally:
            connection.close()

    threads = [
        threading.Thread(target=run, args=(number, send))
        for number, send in enumerate(sends)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return answers


def counted(cast):
    with tenancy.acting_for(contractor_id=cast.contractor.pk):
        return Upload.objects.count(), Visit.objects.count(), Reading.objects.count()


# --- at once --------------------------------------------------------------------------
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    "hold", [storing.last_assessments, working_out._lock], ids=["judging", "options"]
)
def test_a_machine_that_is_being_judged_takes_readings(hold):
    # A worker waits for the stop that an upload raises; were the upload to wait for
    # the machine's row too, one of the two would be thrown out.
    with transaction.atomic():
        north = factories.cast(code="north")
        machine = factories.machine(north.scope()).pk
    slip = {"kind": "slip_seen", "rope": None, "value": "yes"}
    answers = []

    def send():
        try:
            answers.append(callers.upload(north, factories.upload(slip)))
        finally:
            connection.close()

    sender = threading.Thread(target=send)
    with tenancy.acting_for(contractor_id=north.contractor.pk) as scope:
        hold(scope=scope, machine_ids=[machine])
        sender.start()
        sender.join(20)
        answered = [answer.status_code for answer in answers]
    sender.join(60)

    assert answered == [207]


@pytest.mark.django_db(transaction=True)
def test_eight_taps_with_one_key_have_one_effect_and_one_answer():
    cast = factories.cast()
    body = factories.upload(GOOD, GOOD | {"rope": 2})

    answers = at_once(
        *[lambda: callers.upload_for_real(cast, body, Idempotency_Key="tap")] * 8
    )

    # A call that would have to wait too long for the first is told so.
    assert {a.status_code for a in answers} <= {207, 409}
    given_back = [a.json() for a in answers if a.status_code == 207]
    assert all(answer == given_back[0] for answer in given_back)
    assert counted(cast) == (1, 1, 2)


@pytest.mark.django_db(transaction=True)
def test_eight_taps_without_a_key_store_each_reading_once():
    cast = factories.cast()
    readings = [GOOD | {"reference": f"r{n}", "rope": 1 + n % 5} for n in range(500)]

    def send(order, visit):
        body = factories.upload(*order, reference=visit)
        return lambda: callers.upload_for_real(cast, body)

    # Half of them the other way round and under another visit, so that nothing else
    # makes them take turns: they must not block each other for ever.
    answers = at_once(*[send(readings, "a"), send(readings[::-1], "b")] * 4)

    assert [a.status_code for a in answers] == [207] * 8
    told = Counter(e["outcome"] for a in answers for e in a.json()["readings"])
    assert told == {"stored": 500, "already-stored": 3500}
    assert counted(cast)[1:] == (2, 500)


@pytest.mark.django_db(transaction=True)
def test_a_first_call_that_is_still_running_is_waited_for_but_not_for_long():
    cast = factories.cast()
    body = factories.upload(GOOD)
    holds, done = threading.Event(), threading.Event()

    def hold():
        with tenancy.acting_for(contractor_id=cast.contractor.pk):
            Upload.objects.create(
                contractor=cast.contractor,
                membership_id=cast.memberships["TECHNICIAN"].pk,
                key="slow",
                fingerprint="x",
            )
            holds.set()
            done.wait(20)
            transaction.set_rollback(True)
        connection.close()

    first = threading.Thread(target=hold)
    first.start()
    holds.wait(10)
    try:
        answer = callers.upload_for_real(cast, body, Idempotency_Key="slow")
    finally:
        done.set()
        first.join(10)

    assert callers.is_problem(answer, 409, "still-running")
    assert (
        callers.upload_for_real(cast, body, Idempotency_Key="slow").status_code == 207
    )


# --- cut off --------------------------------------------------------------------------
class CutOff(LiveServerTestCase):
    """A real socket: the phone goes into the lift shaft in the middle of a body."""

    def send(self, cast, body, *, length, kind):
        key = cast.headers("TECHNICIAN")["Authorization"]
        head = (
            "POST /api/v1/uploads HTTP/1.1\r\nHost: localhost\r\n"
            f"Authorization: {key}\r\nContent-Type: {kind}\r\n"
            "Idempotency-Key: day-1\r\n"
            f"Content-Length: {length}\r\nConnection: close\r\n\r\n"
        )
        address = self.server_thread.host, self.server_thread.port
        with socket.create_connection(address, timeout=10) as phone:
            phone.sendall(head.encode() + body)
            phone.shutdown(socket.SHUT_WR)
            return phone.makefile("rb").read()

    def test_a_body_cut_off_stores_nothing(self):
        cast = factories.cast()

        answer = self.send(
            cast,
            b'{"visits": [{"reference": "v',
            length=5000,
            kind="application/json",
        )

        assert b" 400 " in answer.splitlines()[0]
        assert b"body-cut-off" in answer
        assert counted(cast) == (0, 0, 0)

    def test_a_file_cut_off_in_its_last_number_stores_nothing_and_can_come_again(self):
        cast = factories.cast()
        body = (
            b"machine,visit,visited_at,reference,kind,rope,station,direction,value [mm]"
            b"\r\nMH-1,v1,2026-05-04T10:00:00+01:00,r1,rope_diameter,1,car side,1,11.87"
        )

        cut = self.send(cast, body[:-1], length=len(body), kind="text/csv")
        after = counted(cast)
        again = self.send(cast, body, length=len(body), kind="text/csv")

        assert b" 400 " in cut.splitlines()[0]
        assert after == (0, 0, 0)
        assert b" 207 " in again.splitlines()[0]
        assert counted(cast) == (1, 1, 1)


# --- any mix --------------------------------------------------------------------------
entries = st.lists(
    st.tuples(
        st.integers(0, 7),
        st.one_of(st.none(), st.sampled_from(SPOILT)),
        st.sampled_from(["11.8", "11.9"]),
    ),
    max_size=12,
)


@pytest.mark.django_db
@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(mixes=st.lists(entries, min_size=1, max_size=3))
def test_any_mix_adds_up_and_twice_is_once(north, mixes):
    with transaction.atomic():
        expected = {}
        for mix in mixes:
            body = factories.upload(
                *[
                    GOOD | {"reference": f"r{name}", "value": value} | (spoilt or {})
                    for name, spoilt, value in mix
                ]
            )
            first, second = callers.upload(north, body), callers.upload(north, body)
            assert (first.status_code, second.status_code) == (207, 207)
            _check(mix, first.json(), second.json(), expected)
            callers.confine(north)
            stored = dict(Reading.objects.values_list("reference", "typed_value"))
            assert stored == expected
        transaction.set_rollback(True)


def _check(mix, first, second, expected):
    assert len(first["readings"]) == len(mix)
    assert sum(first["counts"].values()) == len(mix)
    for (name, spoilt, value), told, again in zip(
        mix, first["readings"], second["readings"], strict=True
    ):
        reference = f"r{name}"
        if spoilt is not None:
            assert told["outcome"] == again["outcome"] == "refused"
            continue
        is_new = reference not in expected
        same = expected.setdefault(reference, value) == value
        repeated = "already-stored" if same else "conflict"
        assert told["outcome"] == ("stored" if is_new else repeated)
        assert again["outcome"] == repeated
