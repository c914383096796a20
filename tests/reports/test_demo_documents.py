"""Every document of the demo portfolio: whole, sound, and nothing left out."""

import re
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from io import BytesIO
from typing import Any
from unittest.mock import patch

import pikepdf
import pytest
from django.db import transaction
from pypdf import PdfReader

from fleet.models import Building, Machine
from fleet.platform.database import table_statistics
from fleet.platform.database.tenancy import acting_for
from inspections import assessment, forecasts
from inspections.intake import accept
from inspections.models import Finding, Grade, Reading, Visit
from reports import content, publishing
from reports.composition import compose, findings, reasons, words
from reports.composition.masthead import reader_of
from reports.models import ReportKind
from reports.pdf import document
from reports.pdf.page import NumberedDocument
from tests import archive
from tests.fixtures.demo_readings import sent
from tests.fixtures.test_demo_taken_in import registered

NOW = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)
PERIOD = {"period_start": date(2026, 8, 1), "period_end": date(2026, 11, 1)}
OF_MACHINES = (
    ReportKind.FIELD_SHEET,
    ReportKind.RETURN_TO_SERVICE,
    ReportKind.REGROOVE_ORDER,
)
STYLES = (("en", "A4", "METRIC"), ("de", "LETTER", "METRIC"), ("en", "LETTER", "INCH"))
# Words for fields, states and sets that only programs should see.
RAW = (
    "_mm",
    "_kg",
    "ACT_NOW",
    "EN_81",
    "ASME_A",
    "GB_7588",
    "slip_seen",
    "None",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """One document, its bytes, and what its findings must say in it."""

    name: str
    frozen: content.Content
    drawn: bytes
    said: tuple[str, ...]
    pages: tuple[str, ...]
    fills: tuple[float, ...]


def _squeezed(text: str) -> str:
    return "".join(text.split())


# Each kind in each language that it has; the rest takes thrice as long.
OF_EACH_KIND = "of each kind"
EVERY = pytest.param("every one", marks=pytest.mark.long)


@pytest.fixture(scope="module", params=[OF_EACH_KIND, EVERY])
def documents(
    request: pytest.FixtureRequest, django_db_setup: None, django_db_blocker: Any
) -> list[Made]:
    """Return the demo's documents; its rows are gone again afterwards."""
    with django_db_blocker.unblock(), transaction.atomic():
        found = _documents(of_each_kind=request.param == OF_EACH_KIND)
        transaction.set_rollback(True)
    return found


def _documents(*, of_each_kind: bool) -> list[Made]:
    technician = registered()
    for upload in sent()["uploads"]:
        accept(
            scope=technician,
            body=upload,
            fingerprint="",
            key=None,
            received_at=NOW,
            most=10_000,
        )
    table_statistics.refresh(Visit, Reading, rows=table_statistics.MANY)
    with acting_for(contractor_id=technician.contractor_id) as scope:
        ids = list(Machine.objects.within(scope).values_list("pk", flat=True))
        assessment.assess(scope=scope, machine_ids=ids, as_of=NOW)
        forecasts.project(scope=scope, machine_ids=ids, as_of=NOW)
        orders = []
        for number, order in enumerate(_orders(scope)):
            language, paper, units = STYLES[number % len(STYLES)]
            style = {"language": language, "paper": paper, "unit_family": units}
            orders.append(replace(order, **style))
        if of_each_kind:
            orders = list({(o.kind, o.language): o for o in orders}.values())
        return [_made(scope, order) for order in orders]


def _orders(scope: Any) -> list[publishing.Order]:
    """Return an order for each building, and for each machine of one of its kinds."""
    whole = [publishing.Order(kind=ReportKind.PORTFOLIO_REVIEW, **PERIOD)]
    for building in Building.objects.within(scope).select_related("owner"):
        own: dict[str, Any] = {"owner": building.owner, "building": building}
        whole.append(publishing.Order(**own, **PERIOD))
        machines = Machine.objects.within(scope).filter(building=building)
        whole += [
            publishing.Order(
                kind=OF_MACHINES[number % len(OF_MACHINES)],
                machine=machine,
                **own,
                **PERIOD,
            )
            for number, machine in enumerate(machines)
        ]
    return whole


def _made(scope: Any, order: publishing.Order) -> Made:
    report, _jobs = publishing.request(scope=scope, order=order, now=NOW)
    frozen = compose(scope=scope, report=report, issued_at=NOW)
    with filled() as fills:
        drawn = document.draw(document=frozen)
    said: list[str] = []
    if report.kind == ReportKind.CONDITION_REPORT:
        said = _said(report)
    return Made(
        name=f"{report.number} {report.language}",
        frozen=frozen,
        drawn=drawn,
        said=tuple(said),
        fills=tuple(fills),
        pages=tuple(
            _squeezed(page.extract_text()) for page in PdfReader(BytesIO(drawn)).pages
        ),
    )


@contextmanager
def filled() -> Iterator[list[float]]:
    """Note how much of the room of each page is filled, as it ends."""
    ended, shares = NumberedDocument.handle_pageEnd, []

    def noted(self: Any) -> None:
        frame = self.frame
        room = frame._height - frame._topPadding - frame._bottomPadding
        shares.append(1.0 - (frame._y - frame._y1p) / room)
        ended(self)

    with patch.object(NumberedDocument, "handle_pageEnd", noted):
        yield shares


def _said(report: Any) -> list[str]:
    """Return value, limit and source of every finding, as the reader reads them."""
    from django.utils import translation

    with translation.override(report.language):
        reader = reader_of(report, [report.building])
        found = Finding.objects.filter(current=True, machine__building=report.building)
        said = []
        for finding in found:
            if finding.grade == Grade.NOT_ASSESSED:
                why = reasons.stored(finding.said, finding.reason, reader=reader)
                said.append(why)
                continue
            shown = findings.figures(finding, reader=reader)
            source = words.said(finding.source)
            said += [words.topic(finding.topic).what, source]
            said += [shown["value"], shown["limit"]]
        return said


def _stands(said: str, text: str) -> bool:
    """Return whether a text is printed, in one piece or around the end of a page."""
    if _squeezed(said) in text:
        return True
    words = said.split()
    halves = (("".join(words[:at]), "".join(words[at:])) for at in range(1, len(words)))
    return any(
        re.search(f"{re.escape(one)}.{{1,900}}?{re.escape(other)}", text, re.DOTALL)
        for one, other in halves
    )


def test_every_finding_stands_there_with_value_limit_and_source(documents):
    for one in documents:
        text = "".join(one.pages)
        missing = {s for s in one.said if not _stands(s, text)}
        assert not missing, one.name

    said = sum(len(one.said) for one in documents)
    assert said > (1000 if len(documents) > 12 else 300)
    assert {type(one.frozen).__name__ for one in documents} == {
        "ConditionReport",
        "FieldSheet",
        "PortfolioReview",
        "RegrooveSheet",
        "ReturnToService",
    }


def test_cautions_number_and_checksum_stand_on_the_pages_they_must(documents):
    for one in documents:
        head, pages = one.frozen.masthead, one.pages
        first = [c for c in head.cautions if c.on_first_page]
        assert first
        assert all(_squeezed(caution.text) in pages[0] for caution in first), one.name
        everywhere = (head.deferral, head.number, content.checksum(one.frozen))
        for page in pages:
            assert all(_squeezed(text) in page for text in everywhere), one.name


def test_no_page_is_empty_and_nothing_raw_is_printed(documents):
    for one in documents:
        furniture = len(_squeezed(one.frozen.masthead.deferral)) + 230
        pages = one.pages
        assert all(len(page) > furniture for page in pages), one.name
        text = "".join(pages)
        assert [raw for raw in RAW if raw in text] == [], one.name


def test_no_page_is_under_a_third_full_but_the_last(documents):
    for one in documents:
        assert len(one.fills) == len(one.pages), one.name
        thin = [n for n, share in enumerate(one.fills[:-1], 1) if share < 1 / 3]
        assert thin == [], one.name


def test_nothing_is_set_in_less_than_8_points(documents):
    for one in documents:
        with pikepdf.open(BytesIO(one.drawn)) as pdf:
            sizes = {
                float(operands[1])
                for each in pdf.pages
                for operands, operator in pikepdf.parse_content_stream(each, "Tf")
            }
        assert min(sizes) >= 8.0, one.name


def test_drawn_again_they_are_the_same_bytes_and_know_what_they_are(documents):
    for one in documents:
        again = content.from_json(content.to_json(one.frozen))
        assert document.draw(document=again) == one.drawn, one.name
        reader, head = PdfReader(BytesIO(one.drawn)), one.frozen.masthead
        assert reader.metadata.title == f"{head.title} · {head.number}"
        assert reader.metadata.author == head.contractor.name
        root = reader.trailer["/Root"]
        assert root["/Lang"].startswith(head.language)
        assert root["/MarkInfo"]["/Marked"]
        assert root["/StructTreeRoot"]["/K"]
        assert reader.outline


def test_page_one_leads_to_each_machine(documents):
    for one in documents:
        if not isinstance(one.frozen, content.ConditionReport):
            continue
        reader = PdfReader(BytesIO(one.drawn))
        numbers = {
            page.indirect_reference.idnum: n for n, page in enumerate(reader.pages)
        }
        links = [link.get_object() for link in reader.pages[0].get("/Annots", ())]
        led = {numbers[link["/Dest"][0].idnum] for link in links}
        assert {m.code for m in one.frozen.machines} <= {
            str(link["/Contents"]) for link in links
        }
        titles = [f"{m.code}  {m.name}" for m in one.frozen.machines]
        begins = {
            n
            for n, page in enumerate(one.pages)
            if any(_squeezed(title) in page for title in titles)
        }
        assert led <= begins


@pytest.mark.skipif(shutil.which("qpdf") is None, reason="qpdf is not installed")
def test_they_are_sound_files(documents, tmp_path):
    for number, one in enumerate(documents):
        path = tmp_path / f"{number}.pdf"
        path.write_bytes(one.drawn)

    each = 'for f in "$1"/*.pdf; do qpdf --check "$f" || exit 1; done'
    done = subprocess.run(
        ["sh", "-c", each, "sh", str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stdout + done.stderr


# Each kind of document keeps them with every run, in tests/archive.
@pytest.mark.long
@pytest.mark.parametrize("documents", ["every one"], indirect=True)
def test_every_document_keeps_what_archives_and_readers_aloud_ask(documents):
    for one in documents:
        issued = document.issue(document=one.frozen)
        assert archive.faults(issued) == [], one.name
