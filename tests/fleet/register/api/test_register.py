"""The register through HTTP: create, read, change by version, retire."""

import pytest

from fleet.models import Machine, Owner, Token
from tests import callers, estates
from tests.fleet.register.api.register_calls import OWNER, first, get, patch, post

pytestmark = pytest.mark.django_db


# --- creating -------------------------------------------------------------------------
def test_a_created_row_belongs_to_the_callers_contractor(north, south):
    answer = post(north, "owners", OWNER)

    assert answer.status_code == 201, answer.content
    body = answer.json()
    assert answer["Location"] == f"http://testserver/api/v1/owners/{body['id']}"
    assert answer["ETag"] == f'"{body["id"]}-1"'
    assert get(north, f"owners/{body['id']}").json() == body
    assert get(south, f"owners/{body['id']}").status_code == 404


def test_a_whole_machine_can_be_registered_piece_by_piece(north):
    def made(path, **body):
        answer = post(north, path, body)
        assert answer.status_code == 201, (path, answer.content)
        return answer.json()["id"]

    owner = made("owners", **OWNER)
    building = made(
        "buildings",
        owner=owner,
        name="Hill House",
        code="hh",
        time_zone="Asia/Kathmandu",
        criteria_set="EN_81_20",
        criteria_overrides={"diameter_ratio_least": {"value": 41.0, "source": "own"}},
    )
    machine = made(
        "machines",
        building=building,
        code="HH-1",
        name="lift 1",
        drive_kind="GEARLESS",
        car_mass_kg=900,
        sources={"car_mass_kg": "PLATE"},
        uncertainties={"car_mass_kg": 25.0},
    )
    made(
        "pulleys",
        machine=machine,
        number=1,
        kind="DEFLECTOR",
        diameter_mm=480.5,
        fitted_on="2020-02-29",
    )
    sheave = made("sheaves", machine=machine, fitted_on="2020-02-29")
    made("sheave-geometries", sheave=sheave, valid_from="2020-02-29", form="V")
    groove = made("grooves", sheave=sheave, number=1)
    rope_set = made(
        "rope-sets",
        machine=machine,
        sheave=sheave,
        fitted_on="2020-02-29",
        ropes_count=5,
        nominal_diameter_mm=13,
        strand_class="8x19",
    )
    rope = made("ropes", rope_set=rope_set, number=1)
    made("rope-seats", rope=rope, groove=groove)


# --- versions -------------------------------------------------------------------------
def test_a_change_names_the_version_it_changes(north):
    owner = first(north, Owner)
    tag = get(north, f"owners/{owner.pk}")["ETag"]

    answer = patch(north, f"owners/{owner.pk}", {"name": "New name"}, tag)

    assert answer.status_code == 200, answer.content
    assert answer.json()["version"] == 2
    assert answer.json()["name"] == "New name"
    assert answer["ETag"] == get(north, f"owners/{owner.pk}")["ETag"] != tag


def test_a_change_without_a_version_is_asked_for_one(north):
    owner = first(north, Owner)

    answer = callers.call(north, "PATCH", f"/api/v1/owners/{owner.pk}", {"name": "X"})

    assert callers.is_problem(answer, 428, "if-match-required")


@pytest.mark.parametrize("tag", ['W/"{pk}-1"', '"{pk}-2"', "{pk}-1", '""', '"*"', ""])
def test_a_change_of_another_version_is_refused(north, tag):
    owner = first(north, Owner)

    answer = patch(
        north, f"owners/{owner.pk}", {"name": "X"}, tag.replace("{pk}", str(owner.pk))
    )

    assert callers.is_problem(answer, 412, "changed-meanwhile")
    assert get(north, f"owners/{owner.pk}").json()["name"] == owner.name


def test_one_of_several_named_versions_will_do(north):
    owner = first(north, Owner)

    answer = patch(north, f"owners/{owner.pk}", {"name": "X"}, f'"0-0", "{owner.pk}-1"')

    assert answer.status_code == 200


def test_of_two_changes_of_one_version_the_second_is_refused(north):
    owner = first(north, Owner)
    tag = get(north, f"owners/{owner.pk}")["ETag"]

    answers = [patch(north, f"owners/{owner.pk}", {"name": n}, tag) for n in "AB"]

    assert [a.status_code for a in answers] == [200, 412]


def test_retiring_takes_the_place_of_deleting(north):
    machine = first(north, Machine)

    retired = patch(north, f"machines/{machine.pk}", {"retired_on": "2026-01-01"})
    deleted = callers.call(north, "DELETE", f"/api/v1/machines/{machine.pk}")

    assert retired.status_code == 200
    assert callers.is_problem(deleted, 405, "method-not-allowed")
    active = get(north, "machines?retired_on__isnull=true").json()["results"]
    assert machine.pk not in {row["id"] for row in active}


# --- addresses ------------------------------------------------------------------------
@pytest.mark.parametrize("pk", ["abc", "1_0", "٣", "-1", "1.0", "9" * 30, "0x1", "%00"])
def test_an_id_that_is_none_leads_nowhere(north, pk):
    assert callers.is_problem(get(north, f"machines/{pk}"), 404, "not-found")


def test_a_read_only_token_changes_nothing(north):
    Token.objects.filter(membership=north.memberships["OFFICE"]).update(scopes=["READ"])

    answer = post(north, "owners", OWNER)

    assert callers.is_problem(answer, 403, "permission-denied")


def test_what_a_machine_means_is_read_in_one_call_with_its_cautions():
    world = estates.world()
    machine = first(world.north, Machine)

    body = get(world.north, f"machines/{machine.pk}/condition").json()

    assert body["code"] == machine.code
    assert body["grade"] == "IN_ORDER"
    assert [f["topic"] for f in body["findings"]] == ["bottoming"]
    assert [f["quantity"] for f in body["forecasts"]] == ["depth"]
    assert any("licensed inspector" in caution for caution in body["cautions"])
