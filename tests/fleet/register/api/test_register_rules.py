"""References out of reach, and what the database refuses."""

import re

import pytest

from fleet.models import Building, Owner
from tests import callers, factories
from tests.fleet.register.api.register_calls import (
    OWNER,
    first,
    get,
    new_sheave,
    patch,
    post,
)

pytestmark = pytest.mark.django_db


# --- references (fault 34) ------------------------------------------------------------
def test_a_foreign_reference_is_as_absent_as_one_that_is_not_there(north, south):
    foreign = first(south, Owner).pk
    building = first(north, Building)

    answers = [
        patch(north, f"buildings/{building.pk}", {"owner": pk})
        for pk in (foreign, 10**9)
    ]

    told = [
        # An id is a word of its own there: the 4 of "status": 400 is none.
        re.sub(rf"\b{pk}\b", "*", a.content.decode())
        for a, pk in zip(answers, (foreign, 10**9), strict=True)
    ]
    assert callers.is_problem(answers[0], 400, "invalid")
    assert told[0] == told[1]


@pytest.mark.parametrize("value", ["1", "1_0", True, 1.0, [1], {}, 10**30, -1, None])
def test_a_reference_is_an_id(north, value):
    building = first(north, Building)

    answer = patch(north, f"buildings/{building.pk}", {"owner": value})

    assert callers.is_problem(answer, 400, "invalid")


def test_a_foreign_reference_is_refused_even_without_the_applications_scope(
    north, south
):
    foreign = first(south, Owner).pk
    building = first(north, Building)

    with callers.without_scope():
        answer = patch(north, f"buildings/{building.pk}", {"owner": foreign})

    assert callers.is_problem(answer, 400, "invalid")


def test_parts_of_two_machines_are_not_joined(north):
    callers.confine(north)
    one, two = (factories.machine(north.scope(), code) for code in ("MH-1", "QC-1"))
    sheave = two.sheaves.get()
    rope, groove = one.rope_sets.get().ropes.first(), sheave.grooves.first()

    joined = [
        post(
            north,
            "rope-sets",
            {
                "machine": one.pk,
                "sheave": sheave.pk,
                "fitted_on": "2018-01-01",
                "retired_on": "2019-01-01",
                "ropes_count": 5,
                "nominal_diameter_mm": 13,
            },
        ),
        post(
            north,
            "rope-seats",
            {"rope": rope.pk, "groove": groove.pk, "pass_number": 2},
        ),
    ]

    for answer in joined:
        assert callers.is_problem(answer, 400, "invalid")


# --- what the database refuses --------------------------------------------------------
@pytest.mark.parametrize(
    ("path", "change", "status", "code"),
    [
        ("machines", {"car_mass_kg": -5}, 422, "out-of-range"),
        ("machines", {"car_mass_kg": 0}, 422, "out-of-range"),
        ("machines", {"roping_ratio": 9}, 422, "out-of-range"),
        ("machines", {"wrap_angle_deg": 1000}, 422, "out-of-range"),
        ("machines", {"code": "QC-1"}, 409, "already-there"),
        ("sheaves", {"retired_on": "2020-01-15"}, 422, "out-of-range"),
        ("sheaves", {"draft_deg": 20}, 422, "out-of-range"),
        ("grooves", {"number": 2}, 409, "already-there"),
        ("grooves", {"number": 25}, 422, "out-of-range"),
    ],
)
def test_what_the_database_refuses_is_a_problem_body(north, path, change, status, code):
    callers.confine(north)
    machine = factories.machine(north.scope())
    sheave = machine.sheaves.get()
    pk = {
        "machines": machine.pk,
        "sheaves": sheave.pk,
        "grooves": sheave.grooves.first().pk,
    }[path]

    answer = patch(north, f"{path}/{pk}", change)

    assert callers.is_problem(answer, status, code)
    assert get(north, f"{path}/{pk}").json()["version"] == 1


def test_two_sheaves_at_a_time_overlap(north):
    callers.confine(north)
    machine = factories.machine(north.scope())

    overlapping = post(
        north, "sheaves", {"machine": machine.pk, "fitted_on": "2024-01-01"}
    )
    before = post(north, "sheaves", new_sheave(machine))

    assert callers.is_problem(overlapping, 409, "overlaps")
    assert before.status_code == 201, before.content


def test_twins_may_have_the_same_codes(north, south):
    # Fault 36.
    assert post(north, "owners", OWNER).status_code == 201
    assert post(south, "owners", OWNER).status_code == 201
    assert callers.is_problem(post(north, "owners", OWNER), 409, "already-there")
