"""Every operation of the description, by requests that nobody thought of.

Schemathesis makes requests that the description allows and ones that it forbids.
None may end in a fault of the server, every answer must be one that is described,
and every error a problem body.
"""

import itertools
import re
from pathlib import Path

import pytest
import schemathesis
from django.core.wsgi import get_wsgi_application
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode, checks

from tests import callers, factories

pytestmark = pytest.mark.django_db

DESCRIPTION = Path(__file__).parents[2] / "docs" / "openapi.yaml"
schema = schemathesis.openapi.from_path(str(DESCRIPTION))
# Not the door of `fleet.project.wsgi`: it limits the statements of the whole process.
schema.app = get_wsgi_application()
OPERATIONS = [found.ok() for found in schema.get_all_operations()]
# A file of what there is has no parameters: one request says all.
EXPORTS = "/exports/"
# Whoever has their address may read them.
OPEN = ("/api/v1/calendars/", "/api/v1/report-links", "/api/v1/cautions")
OPEN += ("/api/v1/field/pairing",)
TURNS = itertools.count()


@schemathesis.serializer("application/zip")
def _as_bytes(_context: schemathesis.SerializationContext, value: object) -> bytes:
    """Send what was made for a file as it is; hardly any of it is one."""
    return value if isinstance(value, bytes) else str(value).encode()


CHECKS = [
    checks.not_a_server_error,
    checks.status_code_conformance,
    checks.content_type_conformance,
    checks.response_schema_conformance,
]


def examples(count):
    """Return how requests are made: so many, the same ones each time."""
    return settings(
        max_examples=count,
        deadline=None,
        database=None,
        derandomize=True,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )


def known_id(path, cast):
    """Return the id of a row that stands in the list before a path's {id}."""
    answer = callers.call(cast, "GET", path.partition("/{id}")[0])
    rows = answer.json().get("results") if answer.status_code == 200 else None
    return rows[0]["id"] if rows else None


def ask(operation, world, *, mode, count):
    """Send an operation some requests; each answer must be a described one."""
    headers = world.north.headers("OFFICE")

    @examples(count)
    @given(case=operation.as_strategy(generation_mode=mode))
    def every_answer_is_described(case):
        # A number by chance is no row's: half of them become one that is there.
        if "{id}" in case.path and next(TURNS) % 2:
            case.path_parameters["id"] = known_id(case.path, world.north) or 1
        factories.forget_tenant()
        case.validate_response(case.call(headers=headers), checks=CHECKS)

    every_answer_is_described()


@pytest.mark.long
@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda found: found.label)
def test_operation_keeps_to_its_description(operation, world):
    few = EXPORTS in operation.path
    ask(operation, world, mode=GenerationMode.POSITIVE, count=1 if few else 4)


# Faults 20 to 31: what the parsers, filters, cursors and fields are sent. Parsers and
# fields are shared, so every run asks each third operation once.
FORBIDDEN = [
    *(pytest.param(found, 1, id=found.label) for found in OPERATIONS[::3]),
    *(
        pytest.param(found, 4, marks=pytest.mark.long, id=f"{found.label}-4")
        for found in OPERATIONS
    ),
]


@pytest.mark.parametrize(("operation", "count"), FORBIDDEN)
def test_what_is_forbidden_is_refused_as_described(operation, world, count):
    few = EXPORTS in operation.path
    try:
        ask(operation, world, mode=GenerationMode.NEGATIVE, count=1 if few else count)
    except Unsatisfiable:
        # It has nothing that could be sent wrong.
        assert (
            operation.method == "get" or "requestBody" not in operation.definition.raw
        )


# The same doors in every run: `tests/access/test_matrix.py`, as nobody.
@pytest.mark.long
@pytest.mark.parametrize(
    "operation",
    [found for found in OPERATIONS if not found.path.startswith(OPEN)],
    ids=lambda found: found.label,
)
def test_operation_asks_who_is_calling(operation, world):
    path = re.sub(r"\{\w+\}", "1", operation.path)

    answer = callers.call(None, operation.method.upper(), path, body={})

    assert callers.is_problem(answer, 401, "not-authenticated")
