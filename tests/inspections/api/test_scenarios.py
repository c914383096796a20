"""Scenarios over the API: worked out, kept, shared, and worked out anew."""

from datetime import UTC, datetime

import pytest

from inspections.models import Finding, Forecast, Scenario, WearLimit
from inspections.scenarios import keeping
from tests import callers

pytestmark = pytest.mark.django_db

LIGHTER = {"changes": {"car_mass_kg": 1100.0}}


@pytest.fixture
def north(with_worn):
    return with_worn[0]


@pytest.fixture
def machine(with_worn):
    return with_worn[1]


def post(cast, path, body=None, role="OFFICE", **headers):
    return callers.call(
        cast, "POST", f"/api/v1/{path}", body or {}, role=role, **headers
    )


def get(cast, path, role="OFFICE"):
    return callers.call(cast, "GET", f"/api/v1/{path}", role=role)


def kept(cast, machine, name="lighter", **more):
    body = {**LIGHTER, "name": name, **more}
    return post(cast, f"machines/{machine.pk}/scenarios", body)


def test_a_change_is_worked_out_and_nothing_is_kept(north, machine):
    before = rows_of(north)

    answer = post(north, f"machines/{machine.pk}/scenarios", LIGHTER)

    assert answer.status_code == 200, answer.content
    said = answer.json()
    assert said["id"] is None
    assert said["cautions"]
    figures = {row["name"]: row for row in said["answer"]["figures"]}
    assert figures["car_mass_kg"]["then"] == 1100.0
    heavy = figures["counterweight_mass_kg"]
    assert heavy["now"] == pytest.approx(heavy["then"])
    assert rows_of(north) == before
    assert not Scenario.objects.exists()


def rows_of(cast):
    """Return what is found, forecast and limited, which no scenario may touch."""
    callers.confine(cast)
    found = [
        list(model.objects.order_by("pk").values())
        for model in (Finding, Forecast, WearLimit)
    ]
    assert all(found)
    return found


def test_findings_of_now_are_those_that_stand_and_ranges_are_said(north, machine):
    answer = post(north, f"machines/{machine.pk}/scenarios", {"changes": {}}).json()
    wrong = post(
        north,
        f"machines/{machine.pk}/scenarios",
        {"changes": {"undercut_angle_deg": 130}},
    )

    assert wrong.status_code == 422
    assert "from 1 to 106" in str(wrong.json())
    now = sorted(
        (row["topic"], row["place"], row["now"]["grade"])
        for row in answer["answer"]["findings"]
        if row["now"]["grade"] != "NOT_ASSESSED"
    )
    callers.confine(north)
    standing = sorted(
        (str(row.topic), row.place, row.grade)
        for row in Finding.objects.filter(machine=machine)
        if row.grade != "NOT_ASSESSED"
    )
    assert now == standing
    assert {row["turn"] for row in answer["answer"]["findings"]} == {"SAME"}


def test_a_name_keeps_it_once(north, machine):
    first, again = kept(north, machine), kept(north, machine)

    assert first.status_code == 201
    assert first["Location"].endswith(f"/api/v1/scenarios/{first.json()['id']}")
    assert again.status_code == 409
    assert again.json()["code"] == "name-taken"
    callers.confine(north)
    assert Scenario.objects.count() == 1


def test_an_owner_sees_what_is_shared_and_only_that(north, machine):
    mine = kept(north, machine, name="for us").json()["id"]
    theirs = kept(north, machine, name="for them", shared_with_owner=True).json()["id"]

    listed = get(north, "scenarios", role="OWNER_READER").json()["results"]

    assert [row["id"] for row in listed] == [theirs]
    assert "membership_id" not in listed[0]
    assert get(north, f"scenarios/{mine}", role="OWNER_READER").status_code == 404
    assert get(north, f"scenarios/{theirs}", role="OWNER_READER").status_code == 200
    again = post(north, f"scenarios/{theirs}/work-out", role="OWNER_READER")
    assert again.status_code == 403
    callers.confine(north)
    assert Scenario.objects.count() == 2
    assert not Scenario.objects.exclude(version=1).exists()


def test_another_contractor_sees_and_changes_none(north, south, machine):
    row = kept(north, machine).json()["id"]

    assert get(south, "scenarios").json()["results"] == []
    assert get(south, f"scenarios/{row}").status_code == 404
    assert post(south, f"scenarios/{row}/work-out").status_code == 404
    other = post(south, f"machines/{machine.pk}/scenarios", LIGHTER)
    assert other.status_code == 404


def test_sharing_names_the_version_it_changes(north, machine):
    made = kept(north, machine)
    row = made.json()["id"]

    def change(tag, **body):
        headers = {"If-Match": tag} if tag else {}
        return callers.call(north, "PATCH", f"/api/v1/scenarios/{row}", body, **headers)

    assert change(None, shared_with_owner=True).status_code == 428
    assert change('"1-99"', shared_with_owner=True).status_code == 412
    assert change(made["ETag"], shared_with_owner=True).status_code == 200
    callers.confine(north)
    assert Scenario.objects.get().shared_with_owner
    assert change(made["ETag"], name="other").status_code == 412


def test_a_machine_that_has_moved_on_says_so_and_is_worked_out_anew(north, machine):
    row = kept(north, machine).json()["id"]
    assert get(north, f"scenarios/{row}").json()["moved_on"] is False

    machine.refresh_from_db()
    callers.call(
        north,
        "PATCH",
        f"/api/v1/machines/{machine.pk}",
        {"rated_load_kg": 800.0},
        **{"If-Match": f'"{machine.pk}-{machine.version}"'},
    )

    stale = get(north, f"scenarios/{row}").json()
    assert stale["moved_on"] is True
    fresh = post(north, f"scenarios/{row}/work-out").json()
    assert fresh["moved_on"] is False
    assert fresh["version"] == stale["version"] + 1
    figures = {each["name"]: each for each in fresh["answer"]["figures"]}
    assert figures["rated_load_kg"]["now"] == 800.0


def test_time_alone_does_not_move_a_machine_on(north, machine):
    digests = {
        keeping.digest_of(
            keeping.snapshot_of(scope=north.scope(), machine_id=machine.pk, now=at)
        )
        for at in (
            datetime(2026, 12, 31, 23, 59, tzinfo=UTC),
            datetime(2028, 3, 1, 0, 1, tzinfo=UTC),
        )
    }

    assert len(digests) == 1


def test_the_groove_window_of_a_machine(north, machine):
    answer = post(
        north, f"machines/{machine.pk}/groove-window", {"margin": 0.0, "to_depth_mm": 2}
    )

    assert answer.status_code == 200, answer.content
    said = answer.json()
    assert said["looked_at"] > 2000
    holding = sum(len(shape["depths_mm"]) for shape in said["shapes"])
    assert holding == said["inside"]
    assert (said["middle"] is None) == (said["inside"] == 0)
    assert bool(said["conflicts"]) == (said["inside"] == 0)
    outside = post(north, f"machines/{machine.pk}/groove-window", {"margin": 0.9})
    assert outside.status_code == 400
