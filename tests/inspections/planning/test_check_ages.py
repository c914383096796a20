"""The contractor's own ages of checks: said once, judged by everywhere."""

import pytest

from fleet.models import Building, Job, Machine
from inspections import inputs
from inspections.assessment.assessing import judge
from inspections.intake.accepting import ASSESS
from tests import callers, factories
from tests.inspections.planning.test_terms import change, read

pytestmark = pytest.mark.django_db

SEVEN_MONTHS_AGO = "2025-10-04T10:00:00+01:00"
BRAKE = {
    "reference": "b-1",
    "kind": "check",
    "rope": None,
    "value": "pass",
    "place": {"part": "brake"},
}


@pytest.fixture
def looked_at(north):
    """MH-1, whose brake was looked at seven months ago."""
    body = factories.upload(BRAKE, reference="v-1", visited_at=SEVEN_MONTHS_AGO)
    assert callers.upload(north, body).status_code == 207
    callers.confine(north)
    return Machine.objects.get(code="MH-1")


def missed(cast, machine):
    """Return what is missed of the brake and of guards, as it is judged now."""
    callers.confine(cast)
    [snapshot] = inputs.load(
        scope=cast.scope(), machine_ids=[machine.pk], as_of=factories.NOW
    )
    checks = judge(snapshot)[2]["checks"]
    return {
        each["check"]: (each["why"], each["months"])
        for each in checks["missed"]
        if each["check"] in ("brake", "guards")
    }, checks["of"]


def test_a_stricter_age_makes_an_older_look_too_old(north, looked_at):
    before, _ = missed(north, looked_at)

    answer = change(north, "checks", {"values": {"brake": 6}, "why": "insurer"})

    assert answer.status_code == 200, answer.content
    rows = {row["name"]: row for row in answer.json()["checks"]}
    assert (rows["brake"]["months"], rows["brake"]["default_months"]) == (6, 12)
    assert before == {}
    assert missed(north, looked_at)[0] == {"brake": ("TOO_OLD", 6)}


def test_an_age_of_a_criteria_set_holds_where_that_set_does(north, looked_at):
    own = Building.objects.get(machines=looked_at).criteria_set
    other = "MLIT_283" if own != "MLIT_283" else "EN_81_20"

    change(north, "checks", {"values": {f"{other}/brake": 6}, "why": "there"})
    elsewhere, _ = missed(north, looked_at)
    change(north, "checks", {"values": {f"{own}/brake": 5}, "why": "here"})

    assert elsewhere == {}
    assert missed(north, looked_at)[0] == {"brake": ("TOO_OLD", 5)}


def test_in_the_united_kingdom_a_look_counts_for_six_months(north, looked_at):
    Building.objects.filter(machines=looked_at).update(time_zone="Europe/London")

    assert missed(north, looked_at)[0] == {"brake": ("TOO_OLD", 6)}


def test_a_check_asked_for_beside_the_set_is_missed(north, looked_at):
    _, of = missed(north, looked_at)

    change(north, "checks", {"values": {"guards": 12}, "why": "own rule"})

    found, more = missed(north, looked_at)
    assert found == {"guards": ("NEVER_READ", 12)}
    assert more == of + 1


def test_what_is_looser_is_refused_in_words_and_changes_nothing(north, looked_at):
    answer = change(north, "checks", {"values": {"brake": 18}, "why": "cheaper"})

    assert answer.status_code == 422, answer.content
    assert answer.json()["errors"][0]["pointer"] == "/values/brake"
    assert "18 months for brake are looser than the least set" in str(answer.json())
    assert read(north, "checks").json()["said"] == {}


def test_null_sets_it_back_and_every_state_is_kept(north, looked_at):
    change(north, "checks", {"values": {"brake": 6}, "why": "insurer"})
    change(north, "checks", {"values": {"brake": None}, "why": "other insurer"})

    assert missed(north, looked_at)[0] == {}
    said = [row["said"] for row in read(north, "checks/history").json()]
    assert said == [{}, {"brake": 6}]


def test_machines_are_judged_anew_by_it(north, looked_at):
    callers.confine(north)
    Job.objects.filter(kind=ASSESS).delete()

    change(north, "checks", {"values": {"brake": 6}, "why": "insurer"})

    callers.confine(north)
    due = set(Job.objects.filter(kind=ASSESS).values_list("subject_id", flat=True))
    in_service = Machine.objects.within(north.scope()).filter(retired_on=None)
    assert due == set(in_service.values_list("pk", flat=True))
    assert due


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_the_office_alone_says_it(north, role):
    body = {"values": {"brake": 6}, "why": "insurer"}

    answer = change(north, "checks", body, role=role)

    assert answer.status_code == 403
    assert read(north, "checks").json()["said"] == {}


def test_a_change_names_the_state_it_changes(north):
    first = read(north, "checks")["ETag"]
    body = {"values": {"brake": 6}, "why": "insurer"}

    taken = change(north, "checks", body, tag=first)
    late = change(north, "checks", body, tag=first)

    assert (taken.status_code, late.status_code) == (200, 412)
