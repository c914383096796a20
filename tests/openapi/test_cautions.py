"""No verdict goes out without the cautions: not in lists, rows, files or pages."""

import io
import zipfile

import pytest
from django.contrib import admin
from django.core.management import call_command
from django.urls import reverse

from fleet.register.exchange import everything
from inspections import cautions
from tests import callers, factories, yaml_files

pytestmark = pytest.mark.django_db

DESCRIPTION = yaml_files.description()
SCHEMAS = DESCRIPTION["components"]["schemas"]
# What nobody says of a machine without a calculation or a reading behind it.
VERDICTS = {
    *("grade", "margin", "stops_service", "canonical", "verdict"),
    *("plan_before_on", "visit_before_on", "due_before_on", "p10_on"),
    *("released_by_what", "out_of_service", "chance_cheapest", "limit"),
}
# An option's or a step's own words for something else than a machine's state.
NO_VERDICT = {
    # A threshold is the contractor's own number, not what was found against it.
    "/api/v1/thresholds",
    "/api/v1/thresholds/history",
}


def properties(schema, seen=()):
    """Return the names of all properties of a schema, however deep."""
    found = set()
    if isinstance(schema, list):
        return found.union(*(properties(each, seen) for each in schema))
    if not isinstance(schema, dict):
        return found
    named = schema.get("$ref", "").rpartition("/")[2]
    if named and named not in seen:
        found |= properties(SCHEMAS[named], (*seen, named))
    found |= set(schema.get("properties", {}))
    return found.union(*(properties(each, seen) for each in schema.values()))


def answers():
    """Return (path, method, schema) of every described answer in JSON."""
    for path, operations in DESCRIPTION["paths"].items():
        for method, operation in operations.items():
            for status, response in operation["responses"].items():
                body = response.get("content", {}).get("application/json")
                if status.startswith("2") and body:
                    yield path, method, body["schema"]


WITH_A_VERDICT = [
    (path, method, schema)
    for path, method, schema in answers()
    if properties(schema) & VERDICTS and path not in NO_VERDICT
]
READ = sorted({path for path, method, _ in WITH_A_VERDICT if method == "get"})


def test_verdicts_are_looked_for_where_they_are():
    for path in ("findings", "forecasts/{id}", "first-limits", "due-works/by-part"):
        assert f"/api/v1/{path}" in READ
    assert len(READ) > 20


@pytest.mark.parametrize(
    ("path", "method", "schema"),
    WITH_A_VERDICT,
    ids=[f"{method} {path}" for path, method, _ in WITH_A_VERDICT],
)
def test_answer_with_a_verdict_is_described_with_cautions(path, method, schema):
    shape = SCHEMAS[schema["$ref"].rpartition("/")[2]] if "$ref" in schema else schema

    assert "cautions" in shape.get("required", ())


@pytest.mark.parametrize("path", READ)
def test_answer_with_a_verdict_carries_cautions(path, world):
    asked = path
    if "{id}" in path:
        listed = callers.call(world.north, "GET", path.partition("/{id}")[0]).json()
        asked = path.replace("{id}", str(listed["results"][0]["id"]))

    answer = callers.call(world.north, "GET", asked)

    if answer.status_code == 200:
        assert set(cautions.SHORT) <= set(answer.json()["cautions"])
    else:
        # Of the one machine of the test nothing can be worked out here.
        assert answer.status_code in (404, 409), answer.content
        assert path.startswith("/api/v1/machines/{id}/"), path


def test_problem_carries_none(world):
    answer = callers.call(world.north, "GET", "/api/v1/findings?grade=nothing")

    assert callers.is_problem(answer, 400, "invalid")
    assert "cautions" not in answer.json()


@pytest.mark.parametrize(
    "path",
    [
        "due-works/csv",
        *(
            f"exports/{n}.{form}"
            for n in (
                "findings",
                "readings",
                "forecasts",
                "assessments",
                "option-sets",
                "due-works",
                "planned-works",
            )
            for form in ("csv", "jsonl")
        ),
        "exports/everything.zip",
        "exports/everything.jsonl.zip",
    ],
)
def test_file_with_verdicts_names_where_the_cautions_stand(path, world):
    answer = callers.call(world.north, "GET", f"/api/v1/{path}")

    assert answer.status_code == 200
    assert answer["Link"] == '</api/v1/cautions>; rel="describedby"'


def test_cautions_are_read_by_anybody():
    answer = callers.call(None, "GET", "/api/v1/cautions", Accept="text/plain")

    assert answer.status_code == 200
    assert answer.content.decode() == cautions.as_text()
    for caution in cautions.SHORT:
        assert caution in answer.content.decode()


@pytest.mark.parametrize("form", ["", ".jsonl"])
def test_archive_of_everything_holds_the_cautions(form, world):
    answer = callers.call(world.north, "GET", f"/api/v1/exports/everything{form}.zip")

    with zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content))) as packed:
        assert packed.namelist()[0] == "CAUTIONS.txt"
        assert packed.read("CAUTIONS.txt").decode() == cautions.as_text()
        assert len(packed.namelist()) == len(everything.outgoing()) + 1


def test_archive_of_the_register_comes_in_again_and_holds_none(world):
    answer = callers.call(world.north, "GET", "/api/v1/exports/register.zip")

    with zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content))) as packed:
        assert "CAUTIONS.txt" not in packed.namelist()


def test_archive_made_by_command_holds_the_cautions(world, tmp_path):
    out = tmp_path / "north.zip"
    call_command("export_contractor", str(out), "--contractor", "north")

    with zipfile.ZipFile(out) as packed:
        assert packed.read("CAUTIONS.txt").decode() == cautions.as_text()


ADMIN_PAGES = [
    model for model in admin.site._registry if model._meta.app_label == "inspections"
]


@pytest.mark.parametrize("model", ADMIN_PAGES, ids=lambda model: model.__name__)
def test_admin_pages_carry_the_cautions(model, world, client):
    callers.confine(world.north)
    client.force_login(world.north.memberships["OFFICE"].person)
    row = model.objects.filter(contractor=world.north.contractor).first()
    named = f"admin:inspections_{model._meta.model_name}"
    factories.forget_tenant()

    for page in (
        reverse(f"{named}_changelist"),
        reverse(f"{named}_change", args=[row.pk]),
    ):
        answer = client.get(page)
        assert answer.status_code == 200, page
        for caution in cautions.SHORT:
            assert caution in answer.content.decode(), page
