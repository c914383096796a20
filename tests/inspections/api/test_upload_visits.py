"""Visits in: their own faults, periods and days, clocks, corrections."""

from datetime import UTC, datetime, timedelta

import pytest

from inspections.models import Reading, Visit
from tests import callers, factories
from tests.inspections.api.upload_answers import GOOD, only_problem, outcomes

pytestmark = pytest.mark.django_db


# --- the visit's own faults -----------------------------------------------------------
@pytest.mark.parametrize(
    ("visit", "pointer", "code"),
    [
        ({"machine": "NO-1"}, "/visits/0/machine", "unknown-machine"),
        ({"machine": None}, "/visits/0/machine", "invalid"),
        ({"machine": ["MH-1"]}, "/visits/0/machine", "invalid"),
        ({"kind": "TEA"}, "/visits/0/kind", "invalid"),
        (
            {"visited_at": "2026-05-04T10:00:00"},
            "/visits/0/visited_at",
            "offset-missing",
        ),
        (
            {"visited_at": "2199-05-04T10:00:00+01:00"},
            "/visits/0/visited_at",
            "in-the-future",
        ),
        ({"reference": ""}, "/visits/0/reference", "invalid"),
        ({"note": "x" * 2001}, "/visits/0/note", "invalid"),
        ({"colour": 1}, "/visits/0/colour", "unknown-field"),
        ({"work": "done"}, "/visits/0/work", "invalid"),
        (
            {"work": {"kind": "ROPING", "done_on": "2026-05-01"}},
            "/visits/0/work",
            "unknown-work",
        ),
        (
            {"work": {"kind": "NAP", "done_on": "2026-05-01"}},
            "/visits/0/work/kind",
            "invalid",
        ),
        (
            {"work": {"kind": "ROPING", "done_on": 5}},
            "/visits/0/work/done_on",
            "invalid",
        ),
    ],
)
def test_a_visit_that_cannot_be_taken_refuses_its_readings_and_stores_nothing(
    north, visit, pointer, code
):
    answer = callers.upload(north, factories.upload(GOOD, **visit))

    problem = only_problem(answer)
    assert (problem["pointer"], problem["code"]) == (pointer, code)
    assert answer.json()["visits"][0]["problem"]["code"] == code
    callers.confine(north)
    assert not Visit.objects.exists()
    assert not Reading.objects.exists()


def test_a_visit_without_readings_is_told_what_became_of_it(north):
    good = factories.upload()
    bad = factories.upload(machine="NO-1", reference="v-2")

    stored = callers.upload(north, good).json()
    refused = callers.upload(north, bad).json()

    assert [visit["outcome"] for visit in stored["visits"]] == ["stored"]
    assert [visit["outcome"] for visit in refused["visits"]] == ["refused"]


def test_a_visit_of_which_nothing_could_be_taken_is_not_stored(north):
    answer = callers.upload(north, factories.upload(GOOD | {"unit": "kg"}))

    assert answer.json()["visits"][0]["problem"]["code"] == "nothing-taken"
    callers.confine(north)
    assert not Visit.objects.exists()


def test_a_foreign_machine_is_as_unknown_as_one_that_is_not_there(north, south):
    # Fault 34: same words, whether the code is another contractor's or nobody's.
    callers.confine(south)
    machine = factories.machine(south.scope())
    type(machine).objects.filter(pk=machine.pk).update(code="SOUTH-ONLY")

    foreign = callers.upload(north, factories.upload(GOOD, machine="SOUTH-ONLY"))
    missing = callers.upload(north, factories.upload(GOOD, machine="NOBODYS-01"))

    told = only_problem(foreign), only_problem(missing)
    assert told[0]["code"] == told[1]["code"] == "unknown-machine"
    assert told[0]["detail"].replace("SOUTH-ONLY", "*") == told[1]["detail"].replace(
        "NOBODYS-01", "*"
    )


def test_twin_contractors_may_use_the_same_references_and_keys(north, south):
    # Fault 36: unique per contractor only.
    body = factories.upload(GOOD)

    answers = [
        callers.upload(cast, body, Idempotency_Key="k") for cast in (north, south)
    ]

    assert [outcomes(answer) for answer in answers] == [["stored"], ["stored"]]
    assert "Idempotency-Replayed" not in answers[1].headers


# --- periods and the building's day ---------------------------------------------------
def test_a_reading_belongs_to_the_day_by_the_buildings_clock(north):
    # Quay Court stands in Halifax (UTC-4 in January): 01:00 UTC is still the 14th
    # there, the day before its sheave was fitted.
    before = {"taken_at": "2020-01-15T01:00:00+00:00"}
    after = {"taken_at": "2020-01-15T05:00:00+00:00"}

    answer = callers.upload(
        north, factories.upload(GOOD | before, GOOD | after, machine="QC-1")
    )

    assert outcomes(answer) == ["refused", "stored"]
    assert "2020-01-14" in answer.json()["readings"][0]["problem"]["detail"]


def test_an_offset_that_postgresql_does_not_know_is_the_instant_it_names(north):
    visit = {"visited_at": "2026-05-04T10:00:00+23:59"}

    answer = callers.upload(north, factories.upload(GOOD, **visit))

    assert outcomes(answer) == ["stored"]
    callers.confine(north)
    assert Reading.objects.get().taken_at == datetime(2026, 5, 3, 10, 1, tzinfo=UTC)


# --- corrections ----------------------------------------------------------------------
def test_a_correction_names_the_old_reading_and_says_why(north):
    callers.upload(north, factories.upload(GOOD))
    again = GOOD | {"reference": "r-9", "corrects": "r-0", "value": "12.1"}

    silent = callers.upload(north, factories.upload(again))
    said = callers.upload(north, factories.upload(again | {"note": "wrong rope"}))

    assert only_problem(silent)["code"] == "cannot-correct"
    assert outcomes(said) == ["stored"]
    callers.confine(north)
    assert Reading.objects.get(reference="r-9").corrects.reference == "r-0"


def test_a_correction_of_another_kind_or_machine_is_refused(north):
    callers.upload(north, factories.upload(GOOD))
    again = {"reference": "r-9", "corrects": "r-0", "note": "typing"}
    kind = {"kind": "lay_length", "value": "80", "unit": "mm"}

    other_kind = callers.upload(north, factories.upload(kind | again))
    other_machine = callers.upload(
        north, factories.upload(GOOD | again, machine="QC-1", reference="v-2")
    )

    assert only_problem(other_kind)["code"] == "cannot-correct"
    assert only_problem(other_machine)["code"] == "cannot-correct"


# --- clocks; fault 13 -----------------------------------------------------------------
def test_a_phone_ahead_of_time_keeps_its_times_and_is_told_so(north):
    ahead = (datetime.now(tz=UTC) + timedelta(hours=3)).isoformat()
    body = factories.upload(GOOD, visited_at=ahead) | {"sent_at": ahead}

    answer = callers.upload(north, body)

    assert outcomes(answer) == ["stored"]
    assert answer.json()["clock_offset_s"] == pytest.approx(-3 * 3600, abs=60)


def test_a_phone_years_ahead_is_not_believed(north):
    ahead = (datetime.now(tz=UTC) + timedelta(days=900)).isoformat()
    body = factories.upload(GOOD, visited_at=ahead) | {"sent_at": ahead}

    assert only_problem(callers.upload(north, body))["code"] == "in-the-future"


def test_a_phone_that_keeps_time_is_told_nothing(north):
    body = factories.upload(GOOD) | {"sent_at": datetime.now(tz=UTC).isoformat()}

    assert "clock_offset_s" not in callers.upload(north, body).json()
