"""Documents over HTTP: every kind, its figures, sending on, who may do what."""

from xml.etree import ElementTree

import pytest

from fleet.models import Job, Machine, Owner
from reports import delivery, publishing
from reports.models import Delivery, RefusedAddress, Report
from tests import callers, factories
from tests.reports.machine_readings import readings
from tests.reports.orders import NOW, made

pytestmark = pytest.mark.django_db

DAYS = {"period_start": "2026-01-01", "period_end": "2026-07-01"}

CAUTIONS = '</api/v1/cautions>; rel="describedby"'


def ask(cast, body, **how):
    return callers.call(cast, "POST", "/api/v1/reports", body, **how)


def place(cast, kind):
    callers.confine(cast)
    machine = Machine.objects.within(cast.scope()).get(code="MH-1")
    return {
        "CONDITION_REPORT": {"building": machine.building_id},
        "FIELD_SHEET": {"machine": machine.pk},
        "RETURN_TO_SERVICE": {"machine": machine.pk},
        "REGROOVE_ORDER": {"machine": machine.pk},
        "PORTFOLIO_REVIEW": {},
    }[kind]


# --- the contractor's own -------------------------------------------------------------
@pytest.mark.parametrize("kind", ["FIELD_SHEET", "PORTFOLIO_REVIEW", "REGROOVE_ORDER"])
def test_an_owner_does_not_see_the_contractors_own_documents(north, kind):
    asked = ask(north, DAYS | {"kind": kind} | place(north, kind)).json()["id"]
    callers.confine(north)
    publishing.publish(scope=north.scope(), report_id=asked, issued_at=NOW)

    answer = callers.call(north, "GET", f"/api/v1/reports/{asked}", role="OWNER_READER")

    assert callers.is_problem(answer, 404, "not-found")


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"kind": "CONDITION_REPORT", "machine": 1},
        {"kind": "FIELD_SHEET"},
        {"kind": "FIELD_SHEET", "building": 1},
        {"kind": "PORTFOLIO_REVIEW", "building": 1},
        {"kind": "REGROOVE_ORDER"},
        {"kind": "REGROOVE_ORDER", "building": 1},
        {"kind": "POEM"},
        {"building": 1, "owner": 1},
        {"building": 1, "minutes": 30},
        {"building": 1, "language": "tlh"},
        {"building": 1, "number": "CR-1"},
        {"building": 1, "state": "PUBLISHED"},
        {"building": 1, "period_start": "0001-01-01"},
        {"building": True},
    ],
)
def test_an_odd_request_is_refused(north, body):
    ids = place(north, "CONDITION_REPORT") | place(north, "FIELD_SHEET")
    ids["owner"] = Owner.objects.within(north.scope()).get(code="mill").pk
    real = {
        name: ids[name] if name in ids and value == 1 and value is not True else value
        for name, value in body.items()
    }

    assert callers.is_problem(ask(north, DAYS | real), 400, "invalid")
    callers.confine(north)
    assert not Report.objects.exists()


def test_a_period_that_runs_backwards_is_refused(north):
    body = place(north, "CONDITION_REPORT") | {
        "period_start": "2026-07-01",
        "period_end": "2026-07-01",
    }

    assert callers.is_problem(ask(north, body), 422, "period-runs-backwards")


def test_fault_34_another_contractors_building_does_not_exist(north):
    south = factories.cast(code="south")
    body = DAYS | place(north, "CONDITION_REPORT")

    assert callers.is_problem(ask(south, body), 400, "invalid")


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_only_the_office_asks_for_reports(north, role):
    body = DAYS | place(north, "CONDITION_REPORT")

    assert callers.is_problem(ask(north, body, role=role), 403, "permission-denied")


# --- figures --------------------------------------------------------------------------
def test_figures_are_listed_and_drawn_as_svg(north):
    readings(north)
    report = made(north)

    listed = callers.call(
        north, "GET", f"/api/v1/reports/{report.pk}/figures", role="OWNER_READER"
    )

    assert listed["Link"] == CAUTIONS
    keys = [figure["key"] for figure in listed.json()]
    assert keys[:3] == ["strip", "MH-1.groove-1", "MH-1.wear-1"]
    for key in keys:
        answer = callers.call(
            north, "GET", f"/api/v1/reports/{report.pk}/figures/{key}"
        )
        assert answer["Content-Type"] == "image/svg+xml"
        assert answer["Link"] == CAUTIONS
        drawn = ElementTree.fromstring(answer.content)
        assert drawn.tag.endswith("svg")
        described = drawn.find("{http://www.w3.org/2000/svg}desc").text
        assert "does not authorise operation" in described
        assert "licensed inspectors decide" in described


def test_a_figure_that_is_none_or_anothers_is_absent(north):
    report = made(north)
    south = factories.cast(code="south")

    for cast, path in (
        (north, f"{report.pk}/figures/none"),
        (south, f"{report.pk}/figures/strip"),
        (north, f"{10**9}/figures/strip"),
    ):
        answer = callers.call(cast, "GET", f"/api/v1/reports/{path}")
        assert callers.is_problem(answer, 404, "not-found")


# --- sending on -----------------------------------------------------------------------
def test_a_published_report_is_sent_on_once_for_each_address(north):
    report = made(north)
    path = f"/api/v1/reports/{report.pk}/send"
    body = {"recipients": ["anna@mill.example", "anna@mill.example"]}

    first = callers.call(north, "POST", path, body)
    second = callers.call(north, "POST", path, body)

    assert first.status_code == second.status_code == 202
    assert first.json() == second.json()
    callers.confine(north)
    assert Delivery.objects.count() == 1
    assert Job.objects.filter(kind=delivery.DELIVER).count() == 1


def test_what_is_not_published_is_not_sent(north):
    report = made(north, needs_release=True)
    body = {"recipients": ["anna@mill.example"]}

    answer = callers.call(north, "POST", f"/api/v1/reports/{report.pk}/send", body)

    assert callers.is_problem(answer, 409, "not-published")


def test_only_the_office_sends_and_clears_and_only_its_own(north):
    report = made(north)
    callers.call(
        north,
        "POST",
        f"/api/v1/reports/{report.pk}/send",
        {"recipients": ["anna@mill.example"]},
    )
    callers.confine(north)
    refused = RefusedAddress.objects.create(
        contractor=north.contractor,
        address="anna@mill.example",
        delivery=Delivery.objects.get(),
        refused_at=NOW,
    )
    south = factories.cast(code="south")

    for path in (
        f"reports/{report.pk}/send",
        f"reports/{report.pk}/withdraw",
        f"refused-addresses/{refused.pk}/clear",
    ):
        body = {"recipients": ["bo@mill.example"]} if path.endswith("send") else None
        foreign = callers.call(south, "POST", f"/api/v1/{path}", body)
        assert callers.is_problem(foreign, 404, "not-found")
        for role in ("TECHNICIAN", "OWNER_READER"):
            answer = callers.call(north, "POST", f"/api/v1/{path}", body, role=role)
            assert callers.is_problem(answer, 403, "permission-denied")
    callers.confine(north)
    assert RefusedAddress.objects.get().cleared_at is None
    assert Delivery.objects.count() == 1
