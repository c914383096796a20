"""An id in an address is made of ASCII digits; what looks like one is none."""

import re

import pytest
from django.urls import URLResolver, get_resolver

from tests import callers

ODD = ("1_0", "\uff11", "\u0661", "+1", "-1", "1.0", "1e3", "0x1", "1 ", "")


def patterns(resolver=None):
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            yield from patterns(entry)
        elif "pk" in entry.pattern.regex.groupindex:
            yield entry.pattern.regex.pattern


def test_no_route_takes_an_id_that_is_no_digits():
    ids = [re.search(r"\?P<pk>(.*?)\)", pattern)[1] for pattern in patterns()]

    taken = [(one, text) for one in ids for text in ODD if re.fullmatch(one, text)]

    assert len(ids) > 60
    assert all(re.fullmatch(one, "17") for one in ids)
    assert taken == []


@pytest.mark.django_db
@pytest.mark.parametrize(
    "path", ["jobs/1_0", "jobs/%EF%BC%91", "owners/%EF%BC%91", "machines/1_0/page"]
)
def test_such_an_address_leads_nowhere(north, path):
    answer = callers.call(north, "GET", f"/api/v1/{path}")

    assert callers.is_problem(answer, 404, "not-found")


@pytest.mark.django_db
@pytest.mark.parametrize("text", ["\uff11", "1_0", "+1", "1.0", " 1"])
def test_such_an_id_is_none_in_a_filter_either(north, text):
    answer = callers.call(north, "GET", f"/api/v1/buildings?owner={text}")

    assert answer.status_code == 400, answer.content
