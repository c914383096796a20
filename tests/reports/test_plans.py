"""Plans: due by the building's own calendar, claimed once, caught up once."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine

from fleet.models import Building, Job, Owner
from fleet.project.celery import app
from reports import plans, publishing, tasks
from reports.models import Report, ReportPlan, ReportPlanState, ReportState
from tests import callers, factories
from tests.reports.orders import run_jobs

pytestmark = pytest.mark.django_db

# Quay Court stands in Halifax: UTC-4 in winter, UTC-3 from 8 March 2026 on.
DUE = datetime(2026, 4, 1, 9, 0, tzinfo=UTC)
A_QUARTER = (date(2026, 1, 1), date(2026, 4, 1))


def plan(cast, *, code="quay-court", **changes):
    callers.confine(cast)
    place = Building.objects.within(cast.scope()).get(code=code)
    values = {
        "owner": place.owner,
        "building": place,
        "recurrence": "QUARTER",
        "recipients": ["anna@quay.example"],
        "next_due_at": DUE,
    }
    return ReportPlan.objects.create(contractor=cast.contractor, **(values | changes))


def tick(cast, at):
    factories.forget_tenant()
    ids = plans.start_due(now=at)
    callers.confine(cast)
    return ids


def period_of(report):
    return (report.period_start, report.period_end)


# --- when -----------------------------------------------------------------------------
def test_a_plan_is_due_by_the_buildings_own_clock(north):
    found = plans.next_due_at(plan(north), now=DUE - timedelta(days=60))

    assert found == DUE  # 06:00 in Halifax


def test_a_plan_on_an_estate_goes_by_its_own_zone_else_the_contractors(north):
    estate = plan(north, building=None, time_zone="Asia/Kathmandu")
    assert plans.next_due_at(estate, now=DUE - timedelta(days=60)).minute == 15

    estate.time_zone = ""
    assert plans.next_due_at(estate, now=DUE - timedelta(days=60)).hour == 6


def test_nothing_is_asked_for_before_it_is_due(north):
    plan(north)

    assert tick(north, DUE - timedelta(seconds=1)) == []
    assert not Report.objects.exists()


def test_a_due_plan_asks_for_the_period_that_ended(north):
    found = plan(north)

    ids = tick(north, DUE)

    report = Report.objects.get()
    assert period_of(report) == A_QUARTER
    assert (report.plan, report.state) == (found, ReportState.DUE)
    assert list(Job.objects.values_list("pk", "subject_id")) == [(ids[0], report.pk)]
    found.refresh_from_db()
    assert found.next_due_at == datetime(2026, 7, 1, 9, 0, tzinfo=UTC)


def test_fault_47_a_second_tick_asks_for_nothing(north):
    plan(north)
    tick(north, DUE)

    assert tick(north, DUE) == []
    assert tick(north, DUE + timedelta(days=1)) == []
    assert Report.objects.count() == 1


def test_fault_47_of_two_ticks_that_saw_the_same_plan_one_claims_it(north, monkeypatch):
    found = plan(north)
    scope = north.scope()
    claim = plans._claim

    def while_another_is_faster(seen, **values):
        monkeypatch.setattr(plans, "_claim", claim)
        assert len(plans.start(scope=scope, plan_id=found.pk, now=DUE)) == 1
        return claim(seen, **values)

    monkeypatch.setattr(plans, "_claim", while_another_is_faster)

    assert plans.start(scope=scope, plan_id=found.pk, now=DUE) == []
    assert Report.objects.count() == 1


def test_many_missed_periods_are_caught_up_by_one_report(north):
    plan(north)

    tick(north, DUE + timedelta(days=400))

    report = Report.objects.get()
    assert period_of(report) == (date(2027, 1, 1), date(2027, 4, 1))


def test_a_report_that_is_being_made_is_not_asked_for_twice(north):
    found = plan(north)
    order = publishing.Order(
        owner=found.owner,
        building=found.building,
        period_start=A_QUARTER[0],
        period_end=A_QUARTER[1],
    )
    publishing.request(scope=north.scope(), order=order, now=DUE)

    assert tick(north, DUE) == []

    found.refresh_from_db()
    assert "is due" in found.problem
    assert found.next_due_at > DUE


def test_a_plan_that_cannot_be_carried_out_holds_up_no_other(north, monkeypatch):
    broken, good = plan(north), plan(north, code="mill-house")
    request = publishing.request

    def breaks_for_one(*, order, **values):
        if order.plan == broken:
            raise RuntimeError
        return request(order=order, **values)

    monkeypatch.setattr(publishing, "request", breaks_for_one)

    tick(north, DUE)

    assert Report.objects.get().plan == good
    broken.refresh_from_db()
    assert broken.next_due_at == DUE  # tried again at the next tick


# --- for whom -------------------------------------------------------------------------
def test_language_units_and_paper_are_the_plans_else_the_owners(north):
    plan(north, language="de", paper="A4")

    tick(north, DUE)

    report = Report.objects.get()
    assert (report.language, report.unit_family, report.paper) == ("de", "INCH", "A4")


def test_without_recipients_it_goes_to_the_owners_own_address(north):
    plan(north, recipients=[])
    Owner.objects.filter(code="quay").update(email="office@quay.example")

    tick(north, DUE)

    assert Report.objects.get().recipients == ["office@quay.example"]


def test_fault_49_the_plan_of_an_owner_who_left_is_cancelled(north):
    found = plan(north)
    Owner.objects.filter(code="quay").update(retired_on=date(2026, 3, 1))

    assert tick(north, DUE) == []

    found.refresh_from_db()
    assert found.state == ReportPlanState.CANCELLED
    assert found.problem == "the owner is no longer looked after"
    assert not Report.objects.exists()


def test_fault_49_an_owner_who_leaves_between_tick_and_making_gets_no_report(
    north, mail
):
    plan(north)
    tick(north, DUE)
    Owner.objects.filter(code="quay").update(retired_on=date(2026, 4, 1))

    run_jobs(north, kind=publishing.PUBLISH)

    report = Report.objects.get()
    assert report.state == ReportState.CANCELLED
    assert not report.file
    assert Job.objects.get().state == "DONE"
    assert mail.taken == []


def test_from_tick_to_mail(north, mail):
    plan(north)
    with time_machine.travel(DUE, tick=False):
        factories.forget_tenant()
        tasks.plan_tick()
        callers.confine(north)
        run_jobs(north, kind=publishing.PUBLISH)
        run_jobs(north)

    assert [address for address, _ in mail.taken] == ["anna@quay.example"]
    assert Report.objects.get().state == ReportState.PUBLISHED


def test_the_tick_is_on_beats_list():
    entry = app.conf.beat_schedule["plans"]

    assert entry["task"] == tasks.plan_tick.name
    assert entry["options"]["expires"] == entry["schedule"]


# --- over HTTP ------------------------------------------------------------------------
def body(cast, **changes):
    callers.confine(cast)
    place = Building.objects.within(cast.scope()).get(code="quay-court")
    return {"owner": place.owner_id, "building": place.pk} | changes


def test_the_office_writes_a_plan_and_is_told_when_it_is_due(north):
    with time_machine.travel(DUE - timedelta(days=10), tick=False):
        answer = callers.call(north, "POST", "/api/v1/report-plans", body(north))

    assert answer.status_code == 201, answer.content
    assert answer.json()["next_due_at"] == "2026-04-01T09:00:00Z"


def test_a_changed_schedule_is_due_anew(north):
    with time_machine.travel(DUE - timedelta(days=10), tick=False):
        made = callers.call(north, "POST", "/api/v1/report-plans", body(north))
        answer = callers.call(
            north,
            "PATCH",
            f"/api/v1/report-plans/{made.json()['id']}",
            {"day_of_month": 31, "hour": 7},
            If_Match=made["ETag"],
        )

    assert answer.status_code == 200, answer.content
    assert answer.json()["next_due_at"] == "2026-04-30T10:00:00Z"
    assert answer["ETag"] != made["ETag"]


@pytest.mark.parametrize(
    "change",
    [
        {"day_of_month": 0},
        {"day_of_month": 32},
        {"hour": 24},
        {"first_month": 13},
        {"recurrence": "WEEK"},
        {"time_zone": "Mars/Olympus"},
        {"language": "tlh"},
        {"recipients": ["no address"]},
        {"recipients": ["a@b.example\n"]},
        {"recipients": [f"a{n}@b.example" for n in range(21)]},
        {"next_due_at": "2026-01-01T00:00:00Z"},
        {"contractor": 1},
    ],
)
def test_an_odd_plan_is_refused(north, change):
    answer = callers.call(north, "POST", "/api/v1/report-plans", body(north, **change))

    assert answer.status_code == 400, answer.content
    assert not ReportPlan.objects.exists()


def test_a_plan_on_anothers_building_is_refused(north):
    callers.confine(north)
    mill = Owner.objects.within(north.scope()).get(code="mill")

    answer = callers.call(
        north, "POST", "/api/v1/report-plans", body(north, owner=mill.pk)
    )

    assert callers.is_problem(answer, 400, "invalid")
