"""Stops worked out by a withdrawn version end by two people, where judged within."""

import json

import pytest

from fleet.models import Membership, Person
from fleet.platform.access import tokens
from inspections.models import Assessment, Finding, Stop
from inspections.releases import bulk
from inspections.releases.problems import NotCompetent
from tests import callers, factories
from tests.fleet.installation import ROOT
from tests.inspections.stops.conftest import SLIP, mark_competent, stops
from tests.test_api_page import differences

pytestmark = pytest.mark.django_db

GIVEN = {"withdrawn_kind": "VERSION", "why": "its table counted a window twice"}
# The answer that the API's page prints after the call that confirms.
PAGE = (ROOT / "docs/api.md").read_text(encoding="utf-8")
CONFIRMED = PAGE.partition("/api/v1/stop-releases/7/confirm")[2]
PRINTED = json.loads(CONFIRMED.partition("```json")[2].partition("```")[0])


@pytest.fixture
def wrongly(north, read, assess):
    """A rope condemned by a version that was withdrawn, and an observed slip."""
    mark_competent(north)
    read(
        {
            "kind": "breaks_total",
            "rope": 1,
            "value": "60",
            "unit": "1",
            "place": {"window": "lay"},
        },
        SLIP,
    )
    assess()
    Stop.objects.update(kernel_version="1")
    return next(each for each in stops(north) if each.cause == "BROKEN_WIRES")


def judge_within(stop, grade="IN_ORDER"):
    said = stop.finding
    Finding.objects.filter(
        topic=said.topic, place=said.place, machine=stop.machine, current=True
    ).update(grade=grade, stops_service=False, reason="judged anew")


def propose(cast):
    body = {**GIVEN, "withdrawn": "1"}
    return callers.call(cast, "POST", "/api/v1/stop-releases", body)


def second(cast):
    person = Person.objects.create(username="second")
    member = Membership.objects.create(
        person=person, contractor=cast.contractor, role="OFFICE"
    )
    return cast.scope().__class__(
        contractor_id=cast.contractor.pk, membership_id=member.pk, role="OFFICE"
    )


def test_two_people_end_what_judging_anew_says_is_within(north, wrongly):
    judge_within(wrongly)

    answer = propose(north)
    callers.confine(north)
    done = bulk.confirm(
        scope=second(north), release_id=answer.json()["id"], now=factories.NOW
    )

    assert answer.status_code == 201, answer.content
    assert [each["id"] for each in answer.json()["listed"]] == [wrongly.pk]
    assert answer.json()["stays"][0]["why"] == "OBSERVED"
    assert done.ended == [wrongly.pk]
    assert {each.cause: each.release for each in stops(north)} == {
        "BROKEN_WIRES": "BULK",
        "ROPE_SLIP": "",
    }


def test_a_second_person_confirms_as_the_page_prints_it(north, wrongly):
    judge_within(wrongly)
    pk = propose(north).json()["id"]
    callers.confine(north)
    second(north)
    key = tokens.issue(
        membership=Membership.objects.get(person__username="second"),
        device="desk",
        scopes=["READ", "WRITE"],
        issued_at=factories.NOW,
    )
    bearer = {"Authorization": f"Bearer {key}"}

    answer = callers.call(None, "POST", f"/api/v1/stop-releases/{pk}/confirm", **bearer)

    assert answer.status_code == 200, answer.content
    assert list(differences(PRINTED, answer.json())) == []
    assert answer.json()["ended"] == [wrongly.pk]


def test_one_person_alone_ends_nothing(north, wrongly):
    judge_within(wrongly)
    pk = propose(north).json()["id"]

    answer = callers.call(north, "POST", f"/api/v1/stop-releases/{pk}/confirm")

    assert callers.is_problem(answer, 409, "second-person")
    assert all(each.is_open for each in stops(north))


def test_two_people_of_whom_none_is_competent_end_nothing(north, wrongly):
    judge_within(wrongly)
    mark_competent(north, until="2026-05-03")
    pk = propose(north).json()["id"]
    callers.confine(north)

    with pytest.raises(NotCompetent):
        bulk.confirm(scope=second(north), release_id=pk, now=factories.NOW)

    assert all(each.is_open for each in stops(north))


def test_the_second_of_two_may_be_the_competent_one(north, wrongly):
    judge_within(wrongly)
    mark_competent(north, until="2026-05-03")
    pk = propose(north).json()["id"]
    callers.confine(north)
    scope = second(north)
    Membership.objects.filter(pk=scope.membership_id).update(
        qualification="rope inspection", competent_until="2030-01-01"
    )

    done = bulk.confirm(scope=scope, release_id=pk, now=factories.NOW)

    assert done.ended == [wrongly.pk]


@pytest.mark.parametrize(
    "change", [{"deactivated_at": factories.NOW}, {"role": "TECHNICIAN"}]
)
def test_what_somebody_proposed_who_is_in_the_office_no_more_is_proposed_anew(
    north, wrongly, change
):
    judge_within(wrongly)
    pk = propose(north).json()["id"]
    callers.confine(north)
    scope = second(north)
    Membership.objects.filter(pk=scope.membership_id).update(
        qualification="rope inspection", competent_until="2030-01-01"
    )
    Membership.objects.filter(pk=north.memberships["OFFICE"].pk).update(**change)

    with pytest.raises(bulk.ProposerLeft):
        bulk.confirm(scope=scope, release_id=pk, now=factories.NOW)

    assert all(each.is_open for each in stops(north))


@pytest.mark.parametrize("grade", ["PLAN_WORK", "NOT_ASSESSED", "ACT_NOW"])
def test_what_is_not_within_stays(north, wrongly, grade):
    judge_within(wrongly, grade)

    assert callers.is_problem(propose(north), 409, "nothing-to-end")


def test_what_was_not_judged_anew_stays(north, wrongly):
    judge_within(wrongly)
    Assessment.objects.update(kernel_version="1")

    assert callers.is_problem(propose(north), 409, "nothing-to-end")


def test_what_stops_again_before_it_is_confirmed_stays(north, wrongly):
    judge_within(wrongly)
    pk = propose(north).json()["id"]
    callers.confine(north)
    judge_within(wrongly, "ACT_NOW")

    done = bulk.confirm(scope=second(north), release_id=pk, now=factories.NOW)

    assert done.ended == []
    assert all(each.is_open for each in stops(north))
