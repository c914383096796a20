"""What came after a document was asked for: no draft hides it, and its page says it."""

from datetime import date, timedelta

import pytest
from django.db.models import F
from django.urls import reverse

from reports import overtaken, publishing
from reports.models import Report, ReportKind, ReportState
from tests import callers, factories
from tests.inspections.stops.conftest import (
    NO_SLIP,
    SLIP,
    ask,
    mark_competent,
    stops,
)
from tests.inspections.stops.test_moving import move, visit_of
from tests.inspections.test_pages import browser, machine_of, text_of
from tests.reports.orders import NOW, PERIOD, made

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("plain_files")]

LATER = "2026-05-05T10:00:00+01:00"
STANDS = "Since this was asked for, out of service:"


def sent(cast, name, *readings, at="2026-05-04T10:00:00+01:00"):
    named = [{"reference": f"{name}-{n}", **each} for n, each in enumerate(readings)]
    body = factories.upload(*named, reference=name, visited_at=at)
    answer = callers.upload(cast, body, role="TECHNICIAN")
    assert answer.status_code == 207, answer.content
    callers.confine(cast)
    return answer.json()


def asked_later(report):
    """Have it asked for after what has been: a test is one moment to the database."""
    later = F("created_at") + timedelta(hours=1)
    Report.objects.filter(pk=report.pk).update(created_at=later)


def release(cast, report):
    path = f"/api/v1/reports/{report.pk}/release"
    answer = callers.call(cast, "POST", path)
    callers.confine(cast)
    return answer


def page_of(cast, report):
    client = browser(cast, "OFFICE")
    return client.get(reverse("report", args=(report.pk,))).content.decode()


def test_a_draft_of_before_its_machine_stood_is_not_released(north):
    draft = made(north, needs_release=True)
    sent(north, "v", SLIP)

    answer = release(north, draft)

    assert callers.is_problem(answer, 409, "no-longer-so")
    assert "out of service since: MH-1" in answer.json()["detail"]
    assert Report.objects.get(pk=draft.pk).state == ReportState.WAITING
    page = page_of(north, draft)
    assert STANDS in page
    assert 'value="release"' not in page
    assert 'value="withdraw"' in page


def test_a_draft_that_says_that_its_machine_stands_is_released(north):
    sent(north, "v", SLIP)
    draft = made(north, needs_release=True)
    asked_later(draft)

    assert release(north, draft).status_code == 202
    assert STANDS not in page_of(north, draft)


def test_another_buildings_stop_keeps_no_draft_back(north):
    draft = made(north, needs_release=True, building="quay-court")
    sent(north, "v", SLIP)

    assert release(north, draft).status_code == 202


def made_of(cast, **order):
    order = publishing.Order(needs_release=True, **PERIOD, **order)
    report, _ = publishing.request(scope=cast.scope(), order=order, now=NOW)
    publishing.publish(scope=cast.scope(), report_id=report.pk, issued_at=NOW)
    return report


def test_a_draft_of_a_whole_estate_is_kept_back_by_any_of_its_machines(north):
    owner = machine_of(north, "MH-1").building.owner
    estate = made_of(north, owner=owner)
    everything = made_of(north, kind=ReportKind.PORTFOLIO_REVIEW)
    sent(north, "v", SLIP)

    assert callers.is_problem(release(north, estate), 409, "no-longer-so")
    assert callers.is_problem(release(north, everything), 409, "no-longer-so")


def test_the_lists_offer_no_release_that_the_page_refuses(
    north, django_assert_max_num_queries
):
    overtaken_one = made(north, needs_release=True)
    good = made(north, needs_release=True, building="quay-court")
    sent(north, "v", SLIP)
    office = browser(north, "OFFICE")
    office.get(reverse("today"))

    counted = []
    for month in (5, 6):
        with django_assert_max_num_queries(60) as looked:
            page = text_of(office.get(reverse("reports")))
        counted.append(len(looked.captured_queries))
        made(north, needs_release=True, period_end=date(2026, month, 1))
    today = text_of(office.get(reverse("today")))

    assert f"Release {good.number}" in page
    assert f"Release {overtaken_one.number}" not in page
    assert f"Withdraw {overtaken_one.number}" in page
    assert page.count("Overtaken by what came since.") == 1
    assert today.count("Overtaken by what came since.") == 1
    assert counted[0] == counted[1]


def test_the_api_says_of_a_draft_what_came_since(north):
    draft = made(north, needs_release=True)
    path = f"/api/v1/reports/{draft.pk}"
    before = callers.call(north, "GET", path).json()["came_since"]
    sent(north, "v", SLIP)
    [stop] = stops(north)

    after = callers.call(north, "GET", path).json()["came_since"]

    nothing = {"stops": [], "readings": 0, "replaced_by": None, "may_be_mailed": False}
    assert before == nothing | {"may_be_released": True}
    stands = {"stop": stop.pk, "machine": stop.machine_id, "machine_code": "MH-1"}
    assert after == nothing | {"may_be_released": False, "stops": [stands]}


def test_what_was_released_and_is_overtaken_before_it_is_issued_waits_again(north):
    draft = made(north, needs_release=True)
    assert release(north, draft).status_code == 202
    sent(north, "v", SLIP)

    publishing.publish(scope=north.scope(), report_id=draft.pk, issued_at=NOW)

    draft.refresh_from_db()
    assert (draft.state, draft.released_at) == (ReportState.WAITING, None)
    assert "out of service since: MH-1" in draft.problem
    assert draft.released_by_name == ""


@pytest.mark.parametrize("how", ["aside", "moved"])
def test_a_draft_that_rests_on_what_was_taken_out_of_use_is_not_released(north, how):
    read = sent(north, "v", {"value": "12.8", "unit": "mm"})
    draft = made(north, needs_release=True)
    if how == "moved":
        assert move(north, visit_of(read)).status_code == 201
    else:
        path = f"/api/v1/readings/{read['readings'][0]['id']}/review"
        callers.call(north, "POST", path, {"accepted": False, "why": "not here"})

    answer = release(north, draft)

    assert callers.is_problem(answer, 409, "no-longer-so")
    assert "1 reading of before was set aside" in page_of(north, draft)


def correct(cast):
    more = {"reference": "again", "corrects": "v-0", "note": "read at another rope"}
    answer = sent(cast, "v", {"value": "12.6", "unit": "mm"} | more)
    assert answer["readings"][0]["outcome"] == "stored", answer


def test_a_draft_whose_reading_was_corrected_is_not_released(north):
    sent(north, "v", {"value": "12.8", "unit": "mm"})
    draft = made(north, needs_release=True)
    correct(north)

    answer = release(north, draft)

    assert callers.is_problem(answer, 409, "no-longer-so")
    assert "corrected since: 1" in answer.json()["detail"]


def test_a_draft_asked_for_after_the_correction_is_released(north):
    sent(north, "v", {"value": "12.8", "unit": "mm"})
    correct(north)
    draft = made(north, needs_release=True)
    asked_later(draft)

    assert release(north, draft).status_code == 202


def test_what_is_read_for_the_first_time_keeps_no_draft_back(north):
    draft = made(north, needs_release=True)
    sent(north, "v", {"value": "12.8", "unit": "mm"})

    assert release(north, draft).status_code == 202


@pytest.mark.parametrize("accepted", [False, True])
def test_a_held_reading_keeps_a_draft_back_once_it_was_accepted(north, accepted):
    read = sent(north, "v", {"value": "15", "unit": "mm"})
    assert read["readings"][0]["outcome"] == "held"
    path = f"/api/v1/readings/{read['readings'][0]['id']}/review"
    if accepted:
        callers.call(north, "POST", path, {"accepted": True, "why": "looked again"})
    draft = made(north, needs_release=True)
    callers.call(north, "POST", path, {"accepted": False, "why": "not here"})

    assert release(north, draft).status_code == (409 if accepted else 202)


@pytest.fixture
def returned(north):
    """A return-to-service record that was issued when a slip had been refuted."""
    mark_competent(north)
    sent(north, "v-1", SLIP)
    looked = sent(north, "v-2", NO_SLIP, at=LATER)
    [stop] = stops(north)
    assert ask(north, stop, "refute", {"why": "the brake"}).status_code == 200
    record = made(
        north,
        kind=ReportKind.RETURN_TO_SERVICE,
        machine=machine_of(north, "MH-1"),
    )
    assert record.state == ReportState.PUBLISHED, record.problem
    return record, visit_of(looked)


def test_a_machine_that_stands_again_is_mailed_to_nobody_as_returned(north, returned):
    record, looked = returned
    assert move(north, looked).status_code == 201

    path = f"/api/v1/reports/{record.pk}/send"
    answer = callers.call(north, "POST", path, {"recipients": ["anna@mill.example"]})

    assert callers.is_problem(answer, 409, "no-longer-so")
    page = text_of(browser(north, "OFFICE").get(reverse("report", args=(record.pk,))))
    assert STANDS in page
    assert "This document does not say so." in page


def test_a_page_says_by_which_revision_its_document_was_replaced(north):
    first = made(north)
    second = made(north)

    page = page_of(north, first)

    assert f"Replaced by {second.number}, revision 2" in page
    assert "Replaced by" not in page_of(north, second)
    callers.confine(north)
    found = overtaken.of(scope=north.scope(), report=first)
    assert (found.replaced_by, found.is_wrong) == (second, False)
