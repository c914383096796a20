"""An issued document is mailed as news only while it says what is so."""

from datetime import timedelta

import pytest
from django.urls import reverse

from reports import delivery
from reports.models import Delivery, DeliveryState, ReportKind, ReportState
from reports.overtaken import Overtaken
from reports.publishing import publish
from tests import callers
from tests.inspections.stops.conftest import SLIP
from tests.inspections.stops.test_moving import move, visit_of
from tests.inspections.test_pages import browser, text_of
from tests.inspections.test_work_pages import send as typed
from tests.reports.orders import NOW, asked, made, run_jobs
from tests.reports.test_overtaken import sent

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("plain_files")]

ANNA = "anna@mill.example"


def send(cast, report):
    path = f"/api/v1/reports/{report.pk}/send"
    answer = callers.call(cast, "POST", path, {"recipients": [ANNA]})
    callers.confine(cast)
    return answer


def test_a_report_of_before_its_machine_stood_is_mailed_to_nobody(north):
    report = made(north)
    sent(north, "v", SLIP)
    office = browser(north, "OFFICE")

    answer = send(north, report)
    page = text_of(office.get(reverse("report", args=(report.pk,))))
    form = reverse("send-report", args=(report.pk,))
    refused = typed(office, form, recipients=ANNA)

    assert callers.is_problem(answer, 409, "no-longer-so")
    assert "out of service since: MH-1" in answer.json()["detail"]
    assert "It is mailed to nobody any more." in page
    assert form not in page
    assert "It would say what is not so by now" in text_of(refused) or (
        "out of service since: MH-1" in text_of(refused)
    )
    callers.confine(north)
    assert not Delivery.objects.exists()


def test_the_way_forward_is_the_next_revision_which_says_so(north, mail):
    report = made(north)
    sent(north, "v", SLIP)
    office = browser(north, "OFFICE")
    page = office.get(reverse("report", args=(report.pk,))).content.decode()
    [address] = [
        part.split('"')[0].replace("&amp;", "&")
        for part in page.split('href="')
        if part.startswith(f"{reverse('order-report')}?")
    ]

    form = text_of(office.get(address))
    callers.confine(north)
    later = made(north)
    answer = send(north, later)
    run_jobs(north)

    assert 'value="mill-house"' in form
    assert 'value="2026-01-01"' in form
    assert 'value="2026-04-01"' in form
    assert (later.revision, later.supersedes) == (2, report)
    assert answer.status_code == 202
    [message] = mail.mails()
    assert message["Subject"].startswith("OUT OF SERVICE: MH-1.")


@pytest.mark.parametrize("how", ["aside", "moved"])
def test_a_report_that_rests_on_what_is_out_of_use_is_mailed_to_nobody(north, how):
    read = sent(north, "v", {"value": "12.8", "unit": "mm"})
    report = made(north)
    if how == "moved":
        assert move(north, visit_of(read)).status_code == 201
    else:
        path = f"/api/v1/readings/{read['readings'][0]['id']}/review"
        callers.call(north, "POST", path, {"accepted": False, "why": "not here"})

    answer = send(north, report)

    assert callers.is_problem(answer, 409, "no-longer-so")
    assert "set aside, moved or corrected since: 1" in answer.json()["detail"]


def test_what_is_read_later_and_another_buildings_stop_keep_no_report_back(north):
    report = made(north, building="quay-court")
    sent(north, "v", SLIP)
    north_of_it = made(north)

    assert send(north, report).status_code == 202
    # Asked for after the stop: it says itself that the machine stands.
    assert send(north, north_of_it).status_code == 202


def test_a_report_asked_for_before_a_stop_and_made_after_it_goes_out(north, mail):
    report = asked(north, recipients=(ANNA,))
    sent(north, "v", SLIP)
    publish(scope=north.scope(), report_id=report.pk, issued_at=NOW)

    run_jobs(north)

    [message] = mail.mails()
    assert message["Subject"].startswith("OUT OF SERVICE: MH-1.")


def test_a_mail_that_waited_while_its_machine_was_stopped_is_not_sent(north, mail):
    made(north, recipients=(ANNA,))
    sent(north, "v", SLIP)

    run_jobs(north)

    assert mail.taken == []
    row = Delivery.objects.get()
    assert row.state == DeliveryState.FAILED
    assert "out of service since: MH-1" in row.last_answer
    assert "out of service since: MH-1" in text_of(
        browser(north, "OFFICE").get(reverse("today"))
    )


def test_a_link_to_an_overtaken_report_is_not_renewed(north):
    made(north, recipients=(ANNA,))
    row = Delivery.objects.get()
    row.state, row.link_until = DeliveryState.SENT, NOW - timedelta(days=1)
    row.link_key = "k"
    row.save()
    sent(north, "v", SLIP)

    assert delivery.renew(delivery=row, now=NOW) == []

    row.refresh_from_db()
    assert row.state == DeliveryState.SENT


@pytest.mark.parametrize(
    ("kind", "by_a_stop", "by_readings"),
    [
        (ReportKind.CONDITION_REPORT, False, False),
        (ReportKind.RETURN_TO_SERVICE, False, False),
        (ReportKind.PORTFOLIO_REVIEW, False, True),
        (ReportKind.REGROOVE_ORDER, True, False),
        (ReportKind.ROPE_ORDER, True, False),
        (ReportKind.FIELD_SHEET, True, True),
    ],
)
def test_each_kind_says_what_keeps_it_from_being_mailed(kind, by_a_stop, by_readings):
    stopped = Overtaken(kind=kind, state=ReportState.PUBLISHED, stops=(object(),))
    moved = Overtaken(kind=kind, state=ReportState.PUBLISHED, readings=1)

    assert (stopped.may_be_mailed, moved.may_be_mailed) == (by_a_stop, by_readings)
    assert Overtaken(kind=kind, state=ReportState.PUBLISHED).may_be_mailed
