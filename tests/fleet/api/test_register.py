"""The register through HTTP: create, read, change, and what is refused."""

import json

import pytest

from fleet.models import Building, Machine, Owner
from tests import callers, estates, factories

pytestmark = pytest.mark.django_db

OWNER = {"name": "Hill Trust", "code": "hill"}


def post(cast, path, body, **how):
    return callers.call(cast, "POST", f"/api/v1/{path}", body, **how)


def patch(cast, path, body, tag="*", **how):
    return callers.call(cast, "PATCH", f"/api/v1/{path}", body, If_Match=tag, **how)


def get(cast, path, **how):
    return callers.call(cast, "GET", f"/api/v1/{path}", **how)


def first(cast, model):
    callers.confine(cast)
    return model.objects.order_by("pk").first()


def new_sheave(machine):
    return {
        "machine": machine.pk,
        "fitted_on": "2019-01-01",
        "retired_on": "2020-01-15",
    }


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
        criteria_overrides={"rope_diameter": {"value": 0.91, "source": "own rule"}},
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
    made(
        "works",
        machine=machine,
        kind="ROPING",
        done_on="2020-02-29",
        rope_set=rope_set,
        sheave=sheave,
    )


# --- fields: unknown, read-only, mistyped (rows 15, 16, 21, 38) -----------------------
@pytest.mark.parametrize(
    "field", ["colour", "contractor", "contractor_id", "id", "version", "created_at"]
)
def test_a_field_that_is_not_taken_is_refused(north, field):
    owner = first(north, Owner)

    for answer in (
        post(north, "owners", OWNER | {field: 1}),
        patch(north, f"owners/{owner.pk}", {field: 1}),
    ):
        assert callers.is_problem(answer, 400, "invalid")
        assert answer.json()["errors"] == [
            {
                "pointer": f"/{field}",
                "code": "unknown-field",
                "detail": "This field is not taken here.",
            }
        ]


def test_the_writable_fields_of_the_register_are_these():
    # Row 38: a new column is not writable by accident.
    from fleet.api import serializers

    def writable(serializer):
        return {n for n, f in serializer().fields.items() if not f.read_only}

    assert writable(serializers.OwnerSerializer) == {
        "name", "code", "email", "language", "unit_family", "paper", "retired_on",
    }  # fmt: skip
    assert writable(serializers.BuildingSerializer) == {
        "owner", "name", "code", "address", "time_zone", "criteria_set",
        "criteria_overrides", "retired_on",
    }  # fmt: skip
    for name in dir(serializers):
        found = getattr(serializers, name)
        if name.endswith("Serializer") and hasattr(found, "Meta"):
            assert not writable(found) & {"id", "contractor", "version", "created_at"}


@pytest.mark.parametrize(
    "value",
    ["1200", "1_000", "١٢", True, False, 1e12, -1e12, 1e308, 10**400, [], {}, "NaN"],
)
def test_a_mass_is_a_finite_json_number(north, value):
    machine = first(north, Machine)

    answer = patch(north, f"machines/{machine.pk}", {"car_mass_kg": value})

    assert callers.is_problem(answer, 400, "invalid")
    assert answer.json()["errors"][0]["pointer"] == "/car_mass_kg"


@pytest.mark.parametrize("literal", ["NaN", "Infinity", "-Infinity", "1e400", "-1e400"])
def test_a_literal_that_is_no_number_is_no_json(north, literal):
    machine = first(north, Machine)
    raw = f'{{"car_mass_kg": {literal}}}'.encode()

    answer = patch(north, f"machines/{machine.pk}", None, raw=raw)

    assert callers.is_problem(answer, 400, "parse-error")


@pytest.mark.parametrize("value", ["2", True, 1.0, 1.5, 10**30, -1, None])
def test_a_number_of_something_is_a_whole_json_number(north, value):
    machine = first(north, Machine)

    answer = patch(north, f"machines/{machine.pk}", {"roping_ratio": value})

    assert callers.is_problem(answer, 400, "invalid")


@pytest.mark.parametrize(
    "value",
    ["0001-01-01", "9999-12-31", "2023-02-29", "20230228", "2023-W05-2", "2023-2-3",
     "28/02/2023", "٢٠٢٣-٠٢-٠٢", 20230228, True, ["2023-02-28"]],
)  # fmt: skip
def test_a_date_is_written_one_way_and_of_a_likely_year(north, value):
    machine = first(north, Machine)

    answer = patch(north, f"machines/{machine.pk}", {"installed_on": value})

    assert callers.is_problem(answer, 400, "invalid")


@pytest.mark.parametrize("value", [5, True, None, ["x"], "x" * 201, ""])
def test_a_name_is_a_text_of_limited_length(north, value):
    machine = first(north, Machine)

    answer = patch(north, f"machines/{machine.pk}", {"name": value})

    assert callers.is_problem(answer, 400, "invalid")


@pytest.mark.parametrize(
    "value", ["", "Mars/Base", "../../etc/passwd", "Europe", "UTC+1", 5]
)
def test_a_time_zone_is_an_iana_name(north, value):
    building = first(north, Building)

    answer = patch(north, f"buildings/{building.pk}", {"time_zone": value})

    assert callers.is_problem(answer, 400, "invalid")


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("sources", []),
        ("sources", {"nothing": "PLATE"}),
        ("sources", {"name": "HEARSAY"}),
        ("sources", {"name": ["PLATE"]}),
        ("sources", {"name": {}}),
        ("uncertainties", {"car_mass_kg": -1}),
        ("uncertainties", {"car_mass_kg": "5"}),
        ("uncertainties", {"car_mass_kg": True}),
        ("uncertainties", {"nothing": 1}),
        ("uncertainties", 5),
    ],
)
def test_sources_and_uncertainties_name_fields_and_hold_values(north, field, value):
    machine = first(north, Machine)

    answer = patch(north, f"machines/{machine.pk}", {field: value})

    assert callers.is_problem(answer, 400, "invalid")
    assert answer.json()["errors"][0]["pointer"].startswith(f"/{field}")


@pytest.mark.parametrize(
    "value",
    [[], {"rope": 5}, {"rope": {"value": 5}}, {"rope": {"value": "5", "source": "x"}},
     {"rope": {"value": 5, "source": ""}}, {"rope": {"value": True, "source": "x"}},
     {"rope": {"value": 5, "source": "x", "more": 1}}],
)  # fmt: skip
def test_a_limit_of_ones_own_has_a_value_and_a_source(north, value):
    building = first(north, Building)

    answer = patch(north, f"buildings/{building.pk}", {"criteria_overrides": value})

    assert callers.is_problem(answer, 400, "invalid")


@pytest.mark.parametrize("body", [[], [OWNER], "x", 5, None, True])
def test_a_body_that_is_no_object_is_refused(north, body):
    answer = post(north, "owners", None, raw=json.dumps(body).encode())

    assert callers.is_problem(answer, 400, "invalid")
    assert answer.json()["errors"][0]["pointer"] == "/"


# --- references (row 34) --------------------------------------------------------------
def test_a_foreign_reference_is_as_absent_as_one_that_is_not_there(north, south):
    foreign = first(south, Owner).pk
    building = first(north, Building)

    answers = [
        patch(north, f"buildings/{building.pk}", {"owner": pk})
        for pk in (foreign, 10**9)
    ]

    told = [
        a.content.decode().replace(str(pk), "*")
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
            "works",
            {
                "machine": one.pk,
                "sheave": sheave.pk,
                "kind": "REGROOVING",
                "done_on": "2024-01-01",
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
    # Row 36.
    assert post(north, "owners", OWNER).status_code == 201
    assert post(south, "owners", OWNER).status_code == 201
    assert callers.is_problem(post(north, "owners", OWNER), 409, "already-there")


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
    from fleet.models import Token

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
