"""What the API's office can do is done in pages, or its reason stands by name."""

import re
from fnmatch import fnmatchcase
from pathlib import Path

import pytest
import yaml
from django.urls import get_resolver

from tests.operations_in_pages import DONE_ON, READ_ON, WITHOUT

DESCRIPTION = Path(__file__).parents[1] / "docs/openapi.yaml"
CHANGES = ("post", "put", "patch", "delete")


def operations():
    """Yield (id, method) of each operation."""
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    paths = yaml.load(DESCRIPTION.read_text("utf-8"), Loader=loader)["paths"]
    for methods in paths.values():
        for method, each in methods.items():
            yield each["operationId"], method


@pytest.fixture(scope="module")
def named():
    return dict(operations())


def reason(operation, method):
    """Return the key under which an operation stands, None where it stands nowhere."""
    if method in CHANGES and operation in DONE_ON:
        return operation
    for key in WITHOUT:
        if fnmatchcase(operation, key):
            return key
    if method in CHANGES:
        return None
    longest = sorted(READ_ON, key=len, reverse=True)
    return next((key for key in longest if operation.startswith(f"{key}_")), None)


def test_each_operation_has_its_page_or_its_reason(named):
    assert [o for o, m in named.items() if reason(o, m) is None] == []


def test_the_list_names_no_operation_that_there_is_not(named):
    used = {reason(operation, method) for operation, method in named.items()}

    assert (set(DONE_ON) | set(READ_ON) | set(WITHOUT)) - used == set()
    assert not set(DONE_ON) & set(WITHOUT)


def test_the_pages_are_there_under_their_names():
    names = {name for name in get_resolver().reverse_dict if isinstance(name, str)}
    told = {page for pages in (*DONE_ON.values(), *READ_ON.values()) for page in pages}
    told |= {name for why in WITHOUT.values() for name in re.findall("`([^`]+)`", why)}

    assert told - names == set()


def test_no_reason_is_empty():
    assert all(len(why) > 20 for why in WITHOUT.values())
