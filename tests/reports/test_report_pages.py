"""Documents asked for, planned, released, sent, and how far they are."""

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.models import Job
from inspections.models import PlannedWork, Reading, ReadingReview
from reports.models import Delivery, Report, ReportPlan, ReportState
from tests import callers, estates, factories
from tests.inspections.test_pages import browser, machine_of, text_of
from tests.inspections.test_work_pages import send

pytestmark = pytest.mark.django_db


@pytest.fixture
def north():
    return factories.cast(code="north")


def reports(cast):
    callers.confine(cast)
    return list(Report.objects.filter(contractor=cast.contractor).order_by("pk"))


def test_a_document_is_asked_for_once_and_its_page_says_how_far_it_is(north):
    client = browser(north, "OFFICE")
    address = reverse("order-report")
    code = machine_of(north, "MH-1").building.code
    typed = {
        "kind": "CONDITION_REPORT",
        "place": code,
        "period_start": "2026-01-01",
        "period_end": "2026-04-01",
        "recipients": "anna@mill.example, bert@mill.example",
        "needs_release": "on",
    }

    shown = text_of(client.get(f"{address}?kind=FIELD_SHEET&place=MH-1"))
    wrong = [
        send(client, address, **typed | changed)
        for changed in (
            {"place": 'no<b>"' + "n" * 40},
            {"recipients": "anna at the mill"},
            {"period_end": "2025-01-01"},
            {"kind": "PORTFOLIO_REVIEW"},
            {"place": "MH-1\u202e"},
        )
    ]
    made = send(client, address, **typed)
    [report] = reports(north)
    page = text_of(client.get(made["Location"]))
    Job.objects.filter(key=str(report.pk)).update(state="FAILED")
    failed = text_of(client.get(made["Location"]))

    assert f'<option value="{code}">' in shown
    assert '<option value="MH-1">' in shown
    assert 'value="MH-1" maxlength' in shown or 'value="MH-1" list' in shown
    assert {answer.status_code for answer in wrong} == {400}
    assert "There is no building of this code" in text_of(wrong[0])
    assert "no<b>" not in text_of(wrong[0])
    assert report.needs_release
    assert len(report.recipients) == 2
    assert "It is being made" in page
    assert "could not be made" in failed
    for role in ("TECHNICIAN", "OWNER_READER"):
        assert browser(north, role).get(made["Location"]).status_code == 404


def test_a_plan_is_made_and_changed_and_due_by_what_it_says(north):
    client = browser(north, "OFFICE")
    building = machine_of(north, "MH-1").building
    typed = {
        "building": building.pk,
        "recurrence": "QUARTER",
        "day_of_month": "5",
        "recipients": "",
        "state": "ACTIVE",
    }

    late = send(client, reverse("plan-report"), **typed | {"day_of_month": "32"})
    made = send(client, reverse("plan-report"), **typed)
    callers.confine(north)
    plan = ReportPlan.objects.get(contractor=north.contractor)
    change = reverse("change-report-plan", args=(plan.pk,))
    changed = send(client, change, **typed | {"recurrence": "MONTH"})
    callers.confine(north)
    after = ReportPlan.objects.get(pk=plan.pk)

    assert late.status_code == 400
    assert "at most 31" in text_of(late)
    assert (made.status_code, changed.status_code) == (302, 302)
    assert plan.next_due_at > timezone.now()
    assert plan.owner_id == building.owner_id
    assert (after.recurrence, after.version) == ("MONTH", plan.version + 1)
    assert after.next_due_at <= plan.next_due_at


def test_an_issued_report_is_sent_to_each_address_once():
    north = estates.world().north
    callers.confine(north)
    report = Report.objects.filter(
        contractor=north.contractor, state=ReportState.PUBLISHED
    ).first()
    client = browser(north, "OFFICE")
    address = reverse("send-report", args=(report.pk,))

    sent = send(client, address, recipients="new@mill.example\nnew@mill.example")
    page = text_of(client.get(reverse("report", args=(report.pk,))))

    assert sent.status_code == 302
    assert "new@mill.example" in page
    callers.confine(north)
    assert Delivery.objects.filter(address="new@mill.example").count() == 1


def test_a_reading_is_shown_in_its_course_and_measured_again(north):
    for at, value in (("2026-03-01", "12.9"), ("2026-03-02", "14.5")):
        callers.upload(
            north,
            factories.upload(
                {"value": value, "unit": "mm", "reference": f"r{value}"},
                reference=f"v{value}",
                visited_at=f"{at}T09:00:00+00:00",
            ),
        )
    client = browser(north, "OFFICE")
    address = reverse("readings-to-confirm")
    page = text_of(client.get(address))
    callers.confine(north)
    held = Reading.objects.get(reference="r14.5")

    asked = client.post(
        address, {"reading": held.pk, "accepted": "again", "why": "thick?"}
    )

    assert "12.9 mm" in page
    assert "<circle" in page
    assert "difference: 1.6 mm" in page
    assert asked.status_code == 302
    callers.confine(north)
    assert PlannedWork.objects.get(machine=held.machine_id).kind == "MEASURE_FIRST"
    assert not ReadingReview.objects.filter(reading=held).exists()
    assert "14.5" in text_of(client.get(address))
