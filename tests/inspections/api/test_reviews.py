"""Held and unconfirmed readings: listed, accepted or set aside, by whom."""

import pytest
from django.db import ProgrammingError

from fleet.models import Job, Membership, Person
from inspections import queries
from inspections.models import Reading, ReadingReview
from tests import callers, factories

pytestmark = pytest.mark.django_db

# d = 13 mm: above 1.08 d is held, below .85 d acts at once and is unconfirmed.
HELD = {"value": "14.5", "unit": "mm"}
UNCONFIRMED = {"value": "10.9", "unit": "mm"}
USUAL = {"value": "12.9", "unit": "mm"}
LATER = {"visited_at": "2026-05-04T10:20:00+01:00", "reference": "v-2"}


def stored(cast, *readings, **visit):
    answer = callers.upload(cast, factories.upload(*readings, **visit))
    assert answer.status_code == 207
    return [entry["id"] for entry in answer.json()["readings"]]


def review(cast, pk, *, accepted=True, why="measured twice", role="OFFICE"):
    body = {"accepted": accepted, "why": why}
    return callers.call(cast, "POST", f"/api/v1/readings/{pk}/review", body, role=role)


def waiting(cast, role="OFFICE", query=""):
    answer = callers.call(cast, "GET", f"/api/v1/readings-to-confirm{query}", role=role)
    assert answer.status_code == 200, answer.content
    return {row["id"] for row in answer.json()["results"]}


def usable(cast):
    callers.confine(cast)
    machine = factories.machine(cast.scope())
    rows = queries.usable_readings(
        scope=cast.scope(), machine_ids=[machine.pk], until=factories.NOW
    )
    return {row.pk for row in rows}


# --- the list -------------------------------------------------------------------------
def test_the_list_holds_what_waits_for_a_word_and_nothing_else(north, south):
    held, unconfirmed, usual = stored(north, HELD, UNCONFIRMED, USUAL)

    assert waiting(north) == waiting(north, "TECHNICIAN") == {held, unconfirmed}
    assert waiting(north, query="?state=HELD") == {held}
    assert waiting(north, query="?kind=lay_length") == set()
    assert waiting(south) == set()
    with callers.without_scope():
        assert waiting(south) == set()
    review(north, held)
    again = HELD | {"reference": "r-9", "corrects": "r-1", "note": "typing"}
    stored(north, again | {"value": "12.9"})
    assert waiting(north) == set()
    assert usual not in waiting(north)


def test_an_owner_sees_the_own_buildings_only(north):
    [mine] = stored(north, HELD)
    [other] = stored(north, HELD | {"reference": "q"}, machine="QC-1", reference="v-q")

    assert waiting(north) == {mine, other}
    assert waiting(north, "OWNER_READER") == {mine}


# --- the word -------------------------------------------------------------------------
def test_a_held_reading_is_used_once_it_is_accepted(north):
    [held] = stored(north, HELD)
    assert held not in usable(north)
    Job.objects.all().delete()

    answer = review(north, held)

    assert answer.status_code == 201, answer.content
    assert (answer.json()["accepted"], answer.json()["why"]) == (True, "measured twice")
    assert held in usable(north)
    [job] = Job.objects.filter(kind="inspections.tasks.assess")
    assert job.subject_id == factories.machine(north.scope()).pk


def test_what_is_set_aside_is_used_no_more_and_can_be_taken_back(north):
    [usual] = stored(north, USUAL)

    assert review(north, usual, accepted=False, why="wrong rope").status_code == 201
    assert usual not in usable(north)
    assert review(north, usual, why="it was the right one").status_code == 201
    assert usual in usable(north)
    assert callers.is_problem(
        review(north, usual, why="once more"), 409, "nothing-to-confirm"
    )


def test_the_same_word_twice_is_one(north):
    [held] = stored(north, HELD)

    first, again = review(north, held), review(north, held)

    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    callers.confine(north)
    assert ReadingReview.objects.count() == 1


def test_a_word_is_never_edited(north):
    [held] = stored(north, HELD)
    review(north, held)
    callers.confine(north)

    with pytest.raises(ProgrammingError, match="permission denied"):
        ReadingReview.objects.update(accepted=False)


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"accepted": True},
        {"accepted": "true", "why": "x"},
        {"accepted": 1, "why": "x"},
        {"accepted": None, "why": "x"},
        {"accepted": True, "why": ""},
        {"accepted": True, "why": "x" * 501},
        {"accepted": True, "why": "x", "reading": 1},
    ],
)
def test_a_word_of_another_shape_is_refused(north, body):
    [held] = stored(north, HELD)

    answer = callers.call(north, "POST", f"/api/v1/readings/{held}/review", body)

    assert callers.is_problem(answer, 400, "invalid")


# --- who ------------------------------------------------------------------------------
def test_a_technician_has_the_word_on_own_readings_measured_again(north):
    held, unconfirmed = stored(north, HELD, UNCONFIRMED | {"rope": 2})

    alone = review(north, held, role="TECHNICIAN")
    stored(
        north,
        HELD | {"reference": "a-1"},
        UNCONFIRMED | {"reference": "a-2", "rope": 2},
        **LATER,
    )
    accepted = review(north, held, role="TECHNICIAN")
    # Twice outside the usual band: that confirms, it does not take away.
    aside = review(north, unconfirmed, accepted=False, role="TECHNICIAN")
    stored(
        north,
        USUAL | {"reference": "a-3", "rope": 2},
        visited_at="2026-05-04T10:40:00+01:00",
        reference="v-3",
    )
    usual = review(north, unconfirmed, accepted=False, role="TECHNICIAN")

    assert callers.is_problem(alone, 422, "measure-again")
    assert accepted.status_code == 201, accepted.content
    assert callers.is_problem(aside, 422, "measure-again")
    assert usual.status_code == 201, usual.content


def test_a_technician_has_no_word_on_what_another_read(north):
    [held] = stored(north, HELD)
    stored(north, USUAL | {"reference": "a-1"}, **LATER)
    callers.confine(north)
    other = Membership.objects.create(
        person=Person.objects.create(username="north-other"),
        contractor=north.contractor,
        role="TECHNICIAN",
    )
    visit = Reading.objects.get(pk=held).visit
    type(visit).objects.filter(pk=visit.pk).update(membership_id=other.pk)

    answer = review(north, held, role="TECHNICIAN")

    assert callers.is_problem(answer, 403, "permission-denied")


def test_nobody_else_and_nothing_out_of_reach(north, south):
    [foreign] = stored(south, HELD)

    assert review(north, foreign, role="OWNER_READER").status_code == 403
    for pk in (foreign, 10**9):
        for role in ("OFFICE", "TECHNICIAN"):
            answer = review(north, pk, role=role)
            assert callers.is_problem(answer, 404, "not-found")
    with callers.without_scope():
        assert callers.is_problem(review(north, foreign), 404, "not-found")
    path = f"/api/v1/readings/{foreign}/review"
    assert callers.call(None, "POST", path, {}).status_code == 401
