"""The committed description of the API is the one that the code gives."""

import json
from io import StringIO

import jsonschema
import pytest
from django.core.management import call_command
from drf_spectacular.validation import validate_schema

from inspections.api.upload_schema import UPLOAD
from inspections.api.uploads import _EXAMPLE
from tests import callers, factories, yaml_files


@pytest.fixture(scope="module")
def fresh():
    found, said = StringIO(), StringIO()
    call_command("spectacular", fail_on_warn=True, stdout=found, stderr=said)
    assert said.getvalue() == ""
    return yaml_files.read(found.getvalue())


def test_the_committed_file_is_up_to_date(fresh):
    assert yaml_files.description() == fresh, (
        "run: manage.py spectacular --file docs/openapi.yaml"
    )


def test_the_description_is_valid_openapi(fresh):
    assert fresh["openapi"].startswith("3.1")
    validate_schema(fresh)


# A link out of a mail, a calendar's address: they say what they open, nobody logs in.
# Signed addresses, and what everyone may read.
ANYONE = ("/api/v1/report-links", "/api/v1/calendars/", "/api/v1/cautions")
ANYONE += ("/api/v1/field/pairing",)
# What a paired phone may do, and nothing else.
PHONES = {
    *("/api/v1/field/machines", "/api/v1/field/packs", "/api/v1/field/contact"),
    *("/api/v1/uploads", "/api/v1/machines/{id}/works"),
    *("/api/v1/visits/{id}/move", "/api/v1/visits/{id}/photos"),
}
# Calls other than PATCH that name the version they act on.
NAMES_A_VERSION = "/api/v1/stops/"


def test_every_operation_names_its_problems_and_who_may_call(fresh):
    for path, operations in fresh["paths"].items():
        for method, operation in operations.items():
            responses = operation["responses"]
            assert {"400", "401", "403", "500", "503"} <= set(responses), (path, method)
            names_rows = "{" in path or "requestBody" in operation
            assert ("404" in responses) == names_rows, path
            names_a_version = method == "patch" or (
                method == "post" and path.startswith(NAMES_A_VERSION)
            )
            assert ("428" in responses) == names_a_version, path
            anyone = path.startswith(ANYONE)
            callers_of = ("deviceToken", "session")
            if path in PHONES and (method == "post" or "/field/" in path):
                callers_of = ("deviceToken", "phone", "session")
            wanted = None if anyone else [{caller: []} for caller in callers_of]
            assert operation.get("security") == wanted, path


@pytest.mark.django_db
def test_the_description_is_served_to_anyone(fresh):
    answer = callers.call(None, "GET", "/api/v1/schema", Accept="application/json")

    assert json.loads(answer.content)["paths"].keys() == fresh["paths"].keys()


def test_the_uploads_example_fits_its_own_description():
    jsonschema.validate(_EXAMPLE, UPLOAD)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "body",
    [
        factories.upload({"value": "11.8", "unit": "mm"}),
        factories.upload({"kind": "slip_seen", "rope": None, "value": "yes"}),
        factories.upload({"value": "11.8", "unit": "mm", "note": None, "place": None}),
    ],
)
def test_what_the_description_allows_is_taken(north, body):
    jsonschema.validate(body, UPLOAD)

    assert callers.upload(north, body).json()["counts"] == {"stored": 1}


@pytest.mark.parametrize(
    "body",
    [
        factories.upload({"value": 11.8, "unit": "mm"}),
        factories.upload({"value": "11.8", "unit": "mm", "colour": 1}),
        factories.upload({"kind": "nothing", "value": "1"}),
        {"visits": [{}]},
    ],
)
def test_what_the_upload_refuses_the_description_refuses(body):
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(body, UPLOAD)
