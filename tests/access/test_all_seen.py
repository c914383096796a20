"""No page is forgotten: each address of the matrix is looked at, or said to be none."""

from collections import defaultdict
from dataclasses import fields

import pytest
from django.urls import resolve

from tests.access.doors import ANY, _plain
from tests.access.matrix import MATRIX
from tests.browser.house import House
from tests.browser.sampled import SAMPLED
from tests.browser.seen import PAGES

# Addresses that show no page of ours: with the reason.
NO_PAGES = {
    "": "leads on",
    "health/live": "for whoever watches",
    "health/ready": "for whoever watches",
    "metrics": "for whoever watches",
    "log-out": "leads to the log-in",
    "prefer": "leads back",
    "portfolio.csv": "a file",
    "imports/store": "leads to the imports; what it refuses stands there",
    "field/manifest.webmanifest": "a file",
    "field/worker.js": "a file",
    "keys/<pk>/end": "leads to the people",
    "exports/<pk>/file": "a file",
    "calendar/addresses/<pk>/end": "leads to the addresses",
    "reports/addresses/<pk>/clear": "leads to the refused addresses",
    "answers/<pk>/seen": "leads to Today",
    "hand-overs/<pk>/file": "a file",
    "report-links/again": "the answer of report-link-asked",
    "reports/links/<pk>/end": "leads to the report",
    "service/retry": "leads to the service",
    "stops/<pk>/acknowledge": "leads to the machine",
}
# Pages that scripts draw, each looked at by tests of its own.
ELSEWHERE = {"field/": "tests/browser/field"}
# A house in which every row has the same number: addresses need no more.
ANYWHERE = House(
    **{
        each.name: "/report-links/signed" if each.name == "link" else 1
        for each in fields(House)
    }
)


def route(address):
    return _plain(resolve(address.partition("?")[0]).route)


def test_every_page_of_the_matrix_is_looked_at():
    pages = {
        path
        for method, path in MATRIX
        if method == ANY and not path.startswith("admin/")
    }

    looked_at = {route(seen.address(ANYWHERE)) for seen in PAGES}

    assert pages - looked_at == set(NO_PAGES) | set(ELSEWHERE)


@pytest.mark.django_db
def test_what_is_said_to_be_no_page_shows_none(client):
    for path in NO_PAGES:
        answer = client.get("/" + path.replace("<pk>", "1"))
        is_page = answer.status_code == 200 and b"<main" in answer.content
        assert not is_page, path


def template(seen):
    view = resolve(seen.address(ANYWHERE).partition("?")[0]).func
    cls = getattr(view, "view_class", view)
    return getattr(cls, "template_name", None) or view.__qualname__


def test_every_run_looks_at_each_template_and_at_a_shared_form_refused():
    of_template = defaultdict(list)
    for seen in PAGES:
        of_template[template(seen)].append(seen)
    sampled = {template(seen) for seen in PAGES if seen.name in SAMPLED}

    assert sampled == set(of_template)
    for name, pages in of_template.items():
        if name.endswith("pages/form.html"):
            assert any(p.status == 400 and p.name in SAMPLED for p in pages), name


def test_each_page_in_a_state_has_its_own_name():
    names = [seen.name for seen in PAGES]

    assert len(names) == len(set(names))
