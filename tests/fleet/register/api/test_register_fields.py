"""The register's fields: unknown, read-only, mistyped."""

import json

import pytest

from fleet.models import Building, Machine, Owner
from tests import callers
from tests.fleet.register.api.register_calls import OWNER, first, patch, post

pytestmark = pytest.mark.django_db


# --- fields: unknown, read-only, mistyped (faults 15, 16, 21, 38) ---------------------
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
        [error] = answer.json()["errors"]
        assert (error["pointer"], error["code"]) == (f"/{field}", "unknown-field")
        assert error["detail"].startswith("This field is not taken here; there are ")
        assert "name" in error["detail"].split("there are ")[1]


def test_the_writable_fields_of_the_register_are_these():
    # Fault 38: a new column is not writable by accident.
    from fleet.register.api import serializers

    def writable(serializer):
        return {n for n, f in serializer().fields.items() if not f.read_only}

    assert writable(serializers.OwnerSerializer) == {
        "name", "code", "email", "language", "unit_family", "paper", "retired_on",
        "responsible_person", "telephone",
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


@pytest.mark.parametrize(
    "change",
    [
        {"criteria_set": "NOPE"},
        {"criteria_set": "en_81_20"},
        {"criteria_overrides": {"nope": {"value": 1.0, "source": "x"}}},
        {"criteria_overrides": {"breaks_even/eight": {"value": 1.0, "source": "x"}}},
        {"criteria_overrides": {"traction.nope": {"value": 1.0, "source": "x"}}},
        {"criteria_overrides": {"breaks_even/8": {"value": -1.0, "source": "x"}}},
    ],
)
def test_what_no_machine_could_be_judged_by_is_refused(north, change):
    building = first(north, Building)

    answer = patch(north, f"buildings/{building.pk}", change)

    assert callers.is_problem(answer, 400, "invalid")
    [field] = change
    assert answer.json()["errors"][0]["pointer"] == f"/{field}"
    callers.confine(north)
    assert getattr(Building.objects.get(pk=building.pk), field) == getattr(
        building, field
    )


@pytest.mark.parametrize("body", [[], [OWNER], "x", 5, None, True])
def test_a_body_that_is_no_object_is_refused(north, body):
    answer = post(north, "owners", None, raw=json.dumps(body).encode())

    assert callers.is_problem(answer, 400, "invalid")
    assert answer.json()["errors"][0]["pointer"] == "/"
