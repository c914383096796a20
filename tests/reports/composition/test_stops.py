"""What keeps a machine out of service comes first in every document and its mail."""

from datetime import UTC, datetime

import pytest
from pypdf import PdfReader

from fleet.models import Machine, Membership, Work
from inspections.models import (
    Finding,
    Stop,
    StopBasis,
    StopCause,
    StopEvent,
    StopEventKind,
    StopPlace,
)
from reports import content
from reports.delivery import letter
from reports.models import ReportKind
from tests import callers, factories
from tests.reports.composition.test_documents import composed, of_machine, squeezed
from tests.reports.orders import NOW, asked, made

pytestmark = pytest.mark.django_db

SINCE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def stopped(cast, *, cause=StopCause.ROPE_SLIP, code="MH-1", told=(), **more):
    callers.confine(cast)
    stop = Stop.objects.create(
        contractor=cast.contractor,
        machine=Machine.objects.get(code=code),
        cause=cause,
        place_kind=StopPlace.MACHINE,
        place_key="machine",
        basis=StopBasis.OBSERVED,
        since=SINCE,
        **more,
    )
    StopEvent.objects.create(
        contractor=cast.contractor,
        stop=stop,
        kind=StopEventKind.TOLD,
        at=SINCE,
        told=list(told),
    )
    return stop


def office(cast):
    return Membership.objects.get(person__username="north-office")


def test_page_one_begins_with_the_machine_that_is_out_of_service(measured):
    member = office(measured)
    stopped(measured, told=[member.pk])

    report = made(measured)

    with report.file.open("rb") as file:
        page = PdfReader(file).pages[0].extract_text()
    page = squeezed(page)
    assert page.index("OUTOFSERVICEMH-1") < page.index("OUTOFSERVICE:MH-1")
    for said in ("The ropes were seen to slip.", "2 Mar 2026", "nobody has acknow"):
        assert squeezed(said) in page, said


def test_the_block_names_who_acknowledged_and_what_ends_the_stop(measured):
    member = office(measured)
    stopped(measured, acknowledged_at=NOW, acknowledged_by=member.pk)

    [block] = composed(measured, asked(measured)).out_of_service

    facts = {row.label: row.value for row in block.stops[0].facts}
    assert facts["who knows of it"] == "acknowledged by north-office on 1 Jun 2026"
    assert facts["whom to call"] == "North Lifts (no person or telephone is registered)"
    assert facts["ended only by"].startswith("re-roping or regrooving or ")
    assert "after looking again on site" in facts["ended only by"]


def test_every_document_names_the_person_to_call(measured):
    measured.contractor.responsible_person = "Ada Plumb"
    measured.contractor.telephone = "+00 1234"
    measured.contractor.save()
    stopped(measured)

    report = composed(measured, asked(measured))

    assert report.masthead.contractor.lines == ("Ada Plumb", "+00 1234")
    [row] = [r for r in report.out_of_service[0].stops[0].facts if "call" in r.label]
    assert row.value.endswith(": Ada Plumb, +00 1234")
    [line] = [one for one in report.summary.lifts if one.machine == "MH-1"]
    assert line.state == "OUT OF SERVICE"


def test_a_stop_leaves_nothing_reassuring_above_it(measured):
    report = asked(measured)
    quiet = composed(measured, report)
    stopped(measured)

    loud = composed(measured, report)

    assert "OUT OF SERVICE" not in quiet.summary.headline
    assert "No reading lies beyond a limit" in quiet.summary.headline
    assert loud.summary.headline.startswith("OUT OF SERVICE: MH-1. It must not run")
    said = [loud.summary.headline, loud.machines[0].summary]
    said += [text for one in loud.summary.answers for text in one.paragraphs]
    assert not [text for text in said if "No reading lies beyond" in text]
    assert "nothing was found in the checks" not in loud.machines[0].summary
    assert loud.machines[0].grade == content.PrintedGrade.ACT_NOW


def test_a_calculated_margin_is_contradicted_by_the_test(measured):
    traction = Finding.objects.filter(topic="traction", margin__isnull=False)
    assert traction.exists()
    report = asked(measured)
    before = composed(measured, report).machines[0]
    stopped(measured)

    after = composed(measured, report).machines[0]

    said = "contradicted by the test of 2 Mar 2026"
    assert said not in str(before)
    [line] = [row for row in after.checks.rows if said in row[3]]
    assert line[0].startswith("Traction")
    assert [
        f.contradicted for f in after.findings if f.what.startswith("Traction")
    ] in (
        [],
        [said],
    )


def test_a_brake_contradicts_no_traction(measured):
    stopped(measured, cause=StopCause.BRAKE_SLIDES)

    assert "contradicted" not in str(composed(measured, asked(measured)).machines)


def test_the_mails_subject_says_so(measured):
    report = made(measured)
    plain = letter._words(report)["subject"]
    stopped(measured)

    subject = letter._words(fresh(report, measured))["subject"]

    assert subject == f"OUT OF SERVICE: MH-1. {plain}"


def fresh(report, cast):
    report.content = content.to_plain(composed(cast, report))
    return report


def test_the_review_lists_stopped_machines_first(measured):
    stopped(measured)

    review = composed(measured, asked(measured, kind=ReportKind.PORTFOLIO_REVIEW))

    assert [block.code for block in review.out_of_service] == ["MH-1"]
    assert review.headline.startswith("OUT OF SERVICE: MH-1.")
    assert review.strip.rows[0].label.startswith("MH-1")
    assert review.strip.rows[0].grade == content.PrintedGrade.ACT_NOW
    figures = {row.label: row.value for row in review.figures}
    assert figures["machines out of service"] == "1"


def test_a_machine_with_an_open_stop_is_not_ready_for_acceptance(measured):
    report = of_machine(measured, ReportKind.RETURN_TO_SERVICE)
    Work.objects.create(
        contractor=measured.contractor,
        machine=report.machine,
        kind="OTHER",
        done_on="2026-03-16",
    )
    ready = composed(measured, report)
    stopped(measured)

    record = composed(measured, report)

    assert (ready.not_ready, ready.out_of_service) == ("", ())
    assert ready.acceptance.lines
    assert not record.acceptance.lines
    assert record.not_ready.startswith("NOT READY FOR ACCEPTANCE.")
    assert "the ropes were seen to slip" in record.not_ready
    assert record.summary.startswith(record.not_ready)


def test_only_tests_after_the_work_count(measured):
    report = of_machine(measured, ReportKind.RETURN_TO_SERVICE)
    for number, day in enumerate(("2026-03-02", "2026-03-30")):
        slip = {"kind": "slip_seen", "rope": None, "value": "no"}
        body = factories.upload(
            slip | {"reference": f"t-{number}"},
            reference=f"tv-{number}",
            visited_at=f"{day}T10:00:00+01:00",
        )
        assert callers.upload(measured, body).status_code == 207
    callers.confine(measured)
    # Without work there is none that a test could be after.
    assert composed(measured, report).tests_made.rows == ()
    Work.objects.create(
        contractor=measured.contractor,
        machine=report.machine,
        kind="ROPING",
        done_on="2026-03-16",
    )

    record = composed(measured, report)

    assert [row[3] for row in record.tests_made.rows] == ["30 Mar 2026"]
    assert "No test" not in record.summary
    Work.objects.update(done_on="2026-03-31")
    late = composed(measured, report)
    assert late.tests_made.rows == ()
    assert "No test after the work was reported." in late.summary


def test_content_frozen_before_there_were_stops_reads_as_before(measured):
    plain = content.to_plain(composed(measured, asked(measured)))
    del plain["content"]["out_of_service"]

    assert content.from_plain(plain).out_of_service == ()
