"""The same upload again: nothing twice, nothing lost."""

import pytest

from fleet.models import Job
from inspections.models import Reading, Upload, Visit
from tests import callers, factories
from tests.inspections.api.upload_answers import GOOD, outcomes

pytestmark = pytest.mark.django_db


# --- repeats; faults 8 to 11 ----------------------------------------------------------
def test_the_same_upload_twice_stores_nothing_new(north):
    body = factories.upload(GOOD, GOOD | {"rope": 2}, GOOD | {"unit": "kg", "rope": 3})

    first, second = callers.upload(north, body), callers.upload(north, body)

    assert outcomes(first) == ["stored", "stored", "refused"]
    assert outcomes(second) == ["already-stored", "already-stored", "refused"]
    ids = [[entry.get("id") for entry in a.json()["readings"]] for a in (first, second)]
    assert ids[0] == ids[1]
    assert [v["outcome"] for v in second.json()["visits"]] == ["already-stored"]


@pytest.mark.parametrize(
    "change",
    [
        {"value": "11.9"},
        {"value": "11.80"},
        {"value": "0.4", "unit": "in"},
        {"rope": 2},
        {"note": "wiped first"},
        {"taken_at": "2026-05-04T10:01:00+01:00"},
        {"place": {"station": "car side"}},
    ],
)
def test_a_reference_with_other_content_is_a_conflict_and_changes_nothing(
    north, change
):
    callers.upload(north, factories.upload(GOOD))

    answer = callers.upload(north, factories.upload(GOOD | change))

    assert outcomes(answer) == ["conflict"]
    problem = answer.json()["readings"][0]["problem"]
    assert problem["pointer"] == "/visits/0/readings/0/reference"
    assert problem["code"] == "reference-reused"
    callers.confine(north)
    assert Reading.objects.get().typed_value == "11.8"


def test_a_reference_twice_in_one_upload_is_stored_once(north):
    twin = GOOD | {"reference": "r-0"}

    answer = callers.upload(
        north, factories.upload(twin, twin, twin | {"value": "11.7"})
    )

    assert outcomes(answer) == ["stored", "already-stored", "conflict"]


def test_a_visit_reference_of_another_machine_is_a_conflict(north):
    callers.upload(north, factories.upload(GOOD))
    other = factories.upload(GOOD | {"reference": "n"}, machine="QC-1")

    answer = callers.upload(north, other)

    assert outcomes(answer) == ["refused"]
    assert answer.json()["visits"][0]["outcome"] == "conflict"


def test_a_visit_that_grows_takes_the_new_readings_and_says_what_differs(north):
    callers.upload(north, factories.upload(GOOD))
    grown = factories.upload(GOOD, GOOD | {"rope": 2}, note="came back for rope 2")

    answer = callers.upload(north, grown)

    assert outcomes(answer) == ["already-stored", "stored"]
    assert answer.json()["visits"][0]["outcome"] == "conflict"


def test_the_same_key_gets_the_stored_answer_back(north):
    body = factories.upload(GOOD)

    first = callers.upload(north, body, Idempotency_Key='"abc"')
    second = callers.upload(north, body, Idempotency_Key="abc")

    assert second.status_code == first.status_code == 207
    assert second.json() == first.json()
    assert second["Idempotency-Replayed"] == "true"
    callers.confine(north)
    assert Upload.objects.count() == 1
    assert Job.objects.count() == 1


def test_a_key_reused_with_another_body_is_refused_and_stores_nothing(north):
    callers.upload(north, factories.upload(GOOD), Idempotency_Key="abc")
    other = factories.upload(GOOD | {"reference": "new"}, reference="v-9")

    answer = callers.upload(north, other, Idempotency_Key="abc")

    assert callers.is_problem(answer, 422, "key-reused")
    callers.confine(north)
    assert Reading.objects.count() == Visit.objects.count() == 1


@pytest.mark.parametrize("key", ["", '""', "x" * 129, "kéy"])
def test_a_key_that_is_none_is_refused(north, key):
    answer = callers.upload(north, factories.upload(GOOD), Idempotency_Key=key)

    assert callers.is_problem(answer, 400, "parse-error")


def test_an_upload_that_fails_midway_leaves_nothing_behind(north, monkeypatch):
    def fail(**_):
        raise RuntimeError("the disk is on fire")

    monkeypatch.setattr("fleet.platform.queue.jobs.write", fail)

    answer = callers.upload(north, factories.upload(GOOD), Idempotency_Key="abc")

    assert callers.is_problem(answer, 500, "server-error")
    assert "fire" not in answer.content.decode()
    callers.confine(north)
    assert not Upload.objects.exists()
    assert not Visit.objects.exists()
    assert not Reading.objects.exists()


def test_a_key_is_the_senders_own(north):
    body = factories.upload(GOOD | {"reference": "a"}, reference="v-1")
    other = factories.upload(GOOD | {"reference": "b"}, reference="v-2")

    mine = callers.upload(north, body, Idempotency_Key="day-1")
    theirs = callers.upload(north, other, role="OFFICE", Idempotency_Key="day-1")
    same = callers.upload(north, body, role="OFFICE", Idempotency_Key="day-2")
    again = callers.upload(north, body, Idempotency_Key="day-1")
    mixed = callers.upload(north, other, Idempotency_Key="day-1")

    assert outcomes(mine) == outcomes(theirs) == ["stored"]
    assert outcomes(same) == ["already-stored"]
    assert again["Idempotency-Replayed"] == "true"
    assert again.json() == mine.json()
    assert callers.is_problem(mixed, 422, "key-reused")
    callers.confine(north)
    assert Upload.objects.filter(key="day-1").count() == 2
