"""Work that nobody had planned, reported on a page; and the stop that it answers."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.models import Work
from inspections import assessment
from inspections.intake import fields
from inspections.models import Reading, Stop
from inspections.pages.done.places import ReadingPlace
from inspections.releases import evidence
from inspections.stops import ending
from tests import callers, factories
from tests.inspections.stops.conftest import mark_competent
from tests.inspections.test_pages import browser, machine_of, text_of
from tests.inspections.test_work_pages import send

pytestmark = pytest.mark.django_db
FIELD = "left_check_0_fastening"


@pytest.fixture
def north(monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    return factories.cast(code="north")


@pytest.fixture
def stop(north):
    """A defect of a fastening, seen an hour ago."""
    seen = {"kind": "check", "rope": None, "value": "defect"}
    at = timezone.now() - timedelta(hours=1)
    body = factories.upload(
        seen | {"place": {"part": "fastening"}}, visited_at=at.isoformat()
    )
    answer = callers.upload(north, body)
    assert answer.json()["stop"], answer.content
    judge(north)
    return Stop.objects.get(cause="FASTENING_DEFECT")


def judge(cast):
    callers.confine(cast)
    assessment.assess(
        scope=cast.scope(),
        machine_ids=[machine_of(cast).pk],
        as_of=timezone.now(),
    )


def report(client, machine, **typed):
    address = reverse("report-work", args=(machine.pk,))
    now = timezone.localtime(timezone=ZoneInfo("Europe/Lisbon"))
    typed = {
        "done_on": now.date().isoformat(),
        "read_at": f"{now:%H:%M}",
        "done_by": "crew 4",
    } | typed
    return send(client, f"{address}?kind=REPAIR", **typed)


def test_a_stop_ends_on_pages_by_a_repair_read_as_left_and_accepted(north, stop):
    machine = machine_of(north)
    office = browser(north, "OFFICE")
    accept = reverse("accept-stop", args=(stop.pk,))
    before = text_of(office.get(accept))
    unmarked = text_of(office.get(reverse("refute-stop", args=(stop.pk,))))
    mark_competent(north)

    asked = text_of(office.get(reverse("report-work", args=(machine.pk,))))
    done = report(browser(north, "TECHNICIAN"), machine, **{FIELD: "pass"})
    judge(north)
    assert done.status_code == 302, text_of(done)
    marked = text_of(office.get(accept))
    [work] = Work.objects.filter(machine=machine, kind="REPAIR")
    ended = send(office, accept, work=str(work.pk), why="each wedge looked at")

    assert "No work that answers this cause is on record" in before
    assert reverse("report-work", args=(machine.pk,)) in before
    assert "You are not marked competent" in unmarked
    assert "?kind=REPAIR" in asked
    assert done.status_code == 302, text_of(done)
    assert "You are not marked competent" not in marked
    assert ended.status_code == 302, text_of(ended)
    callers.confine(north)
    stop.refresh_from_db()
    assert (stop.release, stop.release_work_id) == ("WORK", work.pk)
    read = Reading.objects.get(pk__in=stop.release_readings)
    assert (read.word, read.visit.kind) == ("pass", "AS_LEFT")


def test_without_the_hour_nothing_is_read_as_left_on_the_day_of_the_defect(north, stop):
    machine = machine_of(north)
    client = browser(north, "TECHNICIAN")

    callers.confine(north)
    seen_on = evidence.first_day_of_work(scope=north.scope(), stop=stop)
    typed = {FIELD: "pass", "read_at": "", "done_on": seen_on.isoformat()}

    asked = report(client, machine, **typed)

    assert asked.status_code == 400
    assert "say at what hour it was read as left" in text_of(asked)
    callers.confine(north)
    assert not Work.objects.filter(machine=machine, kind="REPAIR").exists()


def test_a_defect_that_is_left_is_told_and_the_stop_stays(north, stop):
    machine = machine_of(north)
    client = browser(north, "TECHNICIAN")

    done = report(client, machine, **{FIELD: "defect"})

    page = text_of(client.get(done["Location"]))
    assert "Take the machine out of service" in page
    callers.confine(north)
    assert Stop.objects.filter(machine=machine, released_at=None).exists()


def test_work_done_before_the_defect_was_seen_is_not_offered(north, stop):
    Work.objects.create(
        contractor=north.contractor,
        machine=machine_of(north),
        kind="REPAIR",
        done_on=timezone.localdate() - timedelta(days=30),
    )

    page = text_of(
        browser(north, "OFFICE").get(reverse("accept-stop", args=(stop.pk,)))
    )

    assert "No work that answers this cause is on record" in page


def test_an_owner_reports_no_work_and_an_unknown_kind_asks_again(north):
    machine = machine_of(north)
    address = reverse("report-work", args=(machine.pk,))

    assert browser(north, "OWNER_READER").get(address).status_code == 403
    office = browser(north, "OFFICE")
    assert "?kind=REPAIR" in text_of(office.get(f"{address}?kind=DANCING"))
    assert office.post(f"{address}?kind=DANCING").status_code == 404


def test_a_failed_case_of_a_test_is_tried_again_as_left_and_no_slip_asked_for(north):
    tried = {"kind": "traction_test", "rope": None, "value": "slipped"}
    at = timezone.now() - timedelta(hours=1)
    body = factories.upload(
        tried | {"place": {"case": "125 % static"}}, visited_at=at.isoformat()
    )
    callers.upload(north, body)
    callers.confine(north)
    stop = Stop.objects.get(cause="SLIP_TEST_FAILED")
    address = reverse("report-work", args=(machine_of(north).pk,))

    form = browser(north, "OFFICE").get(f"{address}?kind=REGROOVING").content.decode()
    shown = callers.call(north, "GET", f"/api/v1/stops/{stop.pk}").json()

    assert 'name="left_traction_test_0_125_static"' in form
    assert "left_slip_seen_0" not in form
    assert shown["released_by_what"]["reads"] == ["traction_test"]
    [place] = [
        ReadingPlace("traction_test", None, case) for case in ending.failed_cases(stop)
    ]
    assert (
        fields.reference(f"left-{place.mark}", "") == "left-traction_test-0-125-static"
    )
