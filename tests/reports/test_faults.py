"""Bad input and faults of documents, each at its number."""

import errno
import os
import re
import socket
import subprocess
import sys
import threading
import time
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings as project
from django.core.files.storage import default_storage
from hypothesis import HealthCheck, given, settings, strategies
from pypdf import PdfReader

from fleet.models import Building, Job, Machine, Owner
from inspections.models import Reading
from reports import content, publishing
from reports.models import Report, ReportState
from reports.pdf import document
from reports.publishing.publishing import MOST_TRIES
from tests import callers
from tests.reports import sample_content
from tests.reports.machine_readings import readings
from tests.reports.orders import NOW, asked, made, run_jobs

pytestmark = pytest.mark.django_db

ROOT = Path(__file__).resolve().parents[2]
SECONDS_FOR_LONG_TEXT = 20.0


def text_of(report):
    with report.file.open("rb") as file:
        return " ".join(
            " ".join(p.extract_text() for p in PdfReader(file).pages).split()
        )


def rename(cast, name):
    callers.confine(cast)
    Building.objects.filter(code="mill-house").update(name=name)
    Machine.objects.filter(code="MH-1").update(name=name)


# --- fault 41: markup -----------------------------------------------------------------
@pytest.mark.parametrize(
    "name",
    [
        "<b>Mill</b>",
        "Smith & Sons <Lifts>",
        "Mill &amp; &lt;House&gt;",
        '<a href="http://x.example">Mill</a>',
        "<font color=red>Mill</font><br/>",
        "</para><para>Mill",
    ],
)
def test_fault_41_markup_is_printed_literally_and_whole(north, name):
    rename(north, name)

    report = made(north)

    assert report.state == ReportState.PUBLISHED
    printed = text_of(report)
    assert name in printed
    with report.file.open("rb") as file:
        pages = PdfReader(file).pages
        addresses = [
            link.get_object()["/A"].get("/URI")
            for page in pages
            for link in page.get("/Annots", [])
            if "/A" in link.get_object()
        ]
    assert not any(addresses)


@settings(
    max_examples=15,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(strategies.text("<>&/=\"' abziprm", min_size=1, max_size=40))
def test_fault_41_whatever_looks_like_markup_is_text(name):
    head = sample_content.masthead()
    report = sample_content.report()
    from dataclasses import replace
    from io import BytesIO

    place = content.Party(name=f"[{name}]")
    drawn = document.draw(
        document=replace(report, masthead=replace(head, place=place), machines=())
    )

    found = "".join(PdfReader(BytesIO(drawn)).pages[0].extract_text().split())
    assert f"[{''.join(name.split())}]" in found


# --- fault 42: images and addresses ---------------------------------------------------
def test_fault_42_no_address_is_fetched_and_no_file_is_embedded(north, tmp_path):
    canary = tmp_path / "canary.png"
    canary.write_bytes(b"\x89PNG\r\n\x1a\n" + b"CANARY" * 50)
    hits = []
    with socket.create_server(("127.0.0.1", 0)) as listening:
        listening.settimeout(0.2)
        port = listening.getsockname()[1]

        def listen():
            try:
                while True:
                    hits.append(listening.accept()[1])
            except OSError:
                return

        thread = threading.Thread(target=listen)
        thread.start()
        reports = []
        for source in (
            f"http://127.0.0.1:{port}/x.png",
            f"file://{canary}",
            str(canary),
            "data:image/png;base64,iVBORw0KGgo=",
        ):
            rename(north, f'<img src="{source}"/>')
            reports.append(made(north))
        thread.join(5)

    assert hits == []
    for report in reports:
        assert report.state == ReportState.PUBLISHED
        with report.file.open("rb") as file:
            assert [
                image for page in PdfReader(file).pages for image in page.images
            ] == []


# --- fault 43: very long text ---------------------------------------------------------
@pytest.mark.parametrize("address", ["x" * 300, "Mill\n" * 50])
def test_fault_43_long_names_are_printed_or_refused_by_field(north, address):
    callers.confine(north)
    Building.objects.filter(code="mill-house").update(address=address[:300])
    Machine.objects.filter(code="MH-1").update(name="lift " * 39)

    began = time.monotonic()
    report = made(north)

    assert time.monotonic() - began < SECONDS_FOR_LONG_TEXT
    if "\n" in address:
        assert report.state == ReportState.FAILED
        assert "line breaks" in report.problem
    else:
        assert report.state == ReportState.PUBLISHED
        assert address in text_of(report).replace(" ", "")


def test_fault_43_what_is_longer_than_its_field_is_refused_at_the_door(north):
    callers.confine(north)
    owner = Owner.objects.within(north.scope()).get(code="mill")
    body = {
        "owner": owner.pk,
        "code": "new",
        "name": "x" * 201,
        "time_zone": "UTC",
        "criteria_set": "EN_81_20",
    }

    answer = callers.call(north, "POST", "/api/v1/buildings", body)

    assert callers.is_problem(answer, 400, "invalid")


# --- faults 44 and 63: letters the font lacks -----------------------------------------
@pytest.mark.parametrize(
    "name", ["Łódź Żabka", "Κτίριο Ανεμώνη", "Thang máy tầng hầm", "Ж½Øß–“”⌀≥"]
)
def test_fault_44_names_of_many_languages_are_printed(north, name):
    rename(north, name)

    assert name in text_of(made(north))


@pytest.mark.parametrize("name", ["Mill 🏠", "大廈", "भवन", "tower \U000e0041"])
def test_fault_44_a_letter_the_font_lacks_fails_the_report_and_names_the_field(
    north, name
):
    rename(north, name)

    report = made(north)

    assert report.state == ReportState.FAILED
    assert re.match(r"(masthead|machines\[0\])\.", report.problem)
    assert not report.file


def test_fault_44_right_to_left_text_is_refused_not_printed_backwards(north):
    rename(north, "בניין")

    report = made(north)

    assert report.state == ReportState.FAILED
    assert report.problem.startswith("masthead.")


# --- fault 45: the disk ---------------------------------------------------------------
class FullDisk:
    """Lets the disk be full for some writes."""

    def __init__(self, monkeypatch, *, writes):
        self.left = writes
        save = type(default_storage._wrapped)._save

        def refuse(storage, name, file):
            if self.left:
                self.left -= 1
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return save(storage, name, file)

        monkeypatch.setattr(type(default_storage._wrapped), "_save", refuse)


@pytest.fixture
def storage():
    default_storage.exists("nothing")


def test_fault_45_a_full_disk_is_said_and_tried_again(north, storage, monkeypatch):
    report = asked(north)
    FullDisk(monkeypatch, writes=1)

    publishing.publish(scope=north.scope(), report_id=report.pk, issued_at=NOW)

    report.refresh_from_db()
    assert report.state == ReportState.DUE
    assert report.problem == ("the file could not be stored: No space left on device")
    assert not report.file
    assert report.content is None
    Job.objects.update(due_at=NOW)
    run_jobs(north, kind=publishing.PUBLISH)
    report.refresh_from_db()
    assert (report.state, report.problem) == (ReportState.PUBLISHED, "")


def test_fault_45_a_disk_that_stays_full_fails_the_report(
    north, storage, monkeypatch, plain_files
):
    report = asked(north)
    FullDisk(monkeypatch, writes=99)

    for _ in range(MOST_TRIES):
        publishing.publish(scope=north.scope(), report_id=report.pk, issued_at=NOW)

    report.refresh_from_db()
    assert report.state == ReportState.FAILED
    assert asked(north).revision == 2


def test_fault_45_a_storage_that_refuses_is_tried_again(north, storage, monkeypatch):
    report = asked(north)

    def refuse(storage, name, file):
        raise RuntimeError("403 from the bucket")

    monkeypatch.setattr(type(default_storage._wrapped), "_save", refuse)
    outcome = publishing.publish(
        scope=north.scope(), report_id=report.pk, issued_at=NOW
    )

    assert outcome.state == ReportState.DUE
    assert Job.objects.filter(state="QUEUED").exists()


FILL_A_SMALL_DISK = """
import os, sys
from django.conf import settings
settings.configure(MEDIA_ROOT=sys.argv[1])
from django.core.files.base import ContentFile
from reports.storage import WholeFileStorage
storage = WholeFileStorage(location=sys.argv[1])
storage.save("old.pdf", ContentFile(b"o" * 1000))
try:
    storage.save("new.pdf", ContentFile(b"n" * 1_000_000))
except OSError as error:
    print(error.strerror)
print(sorted(os.listdir(sys.argv[1])), len(storage.open("old.pdf").read()))
"""


@pytest.mark.skipif(os.geteuid() != 0, reason="mounting a small disk needs root")
def test_fault_45_no_half_file_is_left_on_a_real_full_disk(tmp_path):
    disk = tmp_path / "disk"
    disk.mkdir()
    command = (
        'mount -t tmpfs -o size=200k none "$1" && exec "$2" -W ignore -c "$3" "$1"'
    )

    done = subprocess.run(
        [
            *("unshare", "-m", "sh", "-c", command, "sh"),
            *(str(disk), sys.executable, FILL_A_SMALL_DISK),
        ],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
    )

    if "unshare" in done.stderr or "mount" in done.stderr:
        pytest.skip("no namespaces here")
    assert done.stdout.splitlines() == [
        "No space left on device",
        "['old.pdf'] 1000",
    ], done.stderr


def test_a_missing_file_is_said_and_not_a_server_error(north):
    report = made(north)
    Path(report.file.path).unlink()

    answer = callers.call(north, "GET", f"/api/v1/reports/{report.pk}/file")

    assert callers.is_problem(answer, 404, "not-found")
    assert answer.json()["detail"] == "the file of this report is missing"


# --- faults 46, 47: test_at_once.py, test_plans.py; 51, 52: test_delivery.py ----------
# --- fault 49: what is retired --------------------------------------------------------
def test_fault_49_old_reports_stay_with_the_office_when_the_owner_has_gone(north):
    report = made(north)
    Owner.objects.filter(code="mill").update(retired_on=NOW.date())
    address = f"/api/v1/reports/{report.pk}"

    assert callers.call(north, "GET", address).status_code == 200
    gone = callers.call(north, "GET", address, role="OWNER_READER")
    assert callers.is_problem(gone, 401, "authentication-failed")


def test_fault_49_a_building_that_is_retired_meanwhile_cancels_its_report(north):
    report = asked(north)
    Building.objects.filter(code="mill-house").update(retired_on=NOW.date())

    run_jobs(north, kind=publishing.PUBLISH)

    report.refresh_from_db()
    assert report.state == ReportState.CANCELLED
    assert Job.objects.get().state == "DONE"


# --- fault 50: input corrected afterwards ---------------------------------------------
def test_fault_50_a_correction_leaves_the_issued_file_alone(north):
    readings(north)
    first = made(north)
    before = Path(first.file.path).read_bytes()
    wrong = Reading.objects.filter(kind="bottom_clearance").latest("pk")
    values = {
        f.attname: getattr(wrong, f.attname)
        for f in Reading._meta.concrete_fields
        if f.attname not in ("id", "received_at", "created_at")
    }
    Reading.objects.create(
        **values
        | {
            "reference": "corrected",
            "corrects_id": wrong.pk,
            "value": 1.9,
            "typed_value": "1.9",
            "taken_at": wrong.taken_at + timedelta(minutes=1),
        }
    )

    second = made(north)

    first.refresh_from_db()
    assert Path(first.file.path).read_bytes() == before
    assert document.issue(document=content.from_plain(first.content)) == before
    assert (second.revision, second.supersedes) == (2, first)
    assert f"replaces {first.number} revision 1" in text_of(second)


# --- fault 57: yesterday's backup -----------------------------------------------------
def test_fault_57_a_report_lost_with_the_table_does_not_give_its_number_again(north):
    lost = made(north)
    number, name = lost.number, lost.file.name
    before = Path(lost.file.path).read_bytes()
    Report.objects.filter(pk=lost.pk).delete()  # as if restored from before it

    again = made(north)

    assert again.revision == 1
    assert again.number != number
    assert again.file.name != name
    assert Path(default_storage.path(name)).read_bytes() == before


def test_fault_57_message_ids_do_not_collide_after_a_restore(north):
    made(north, recipients=("anna@mill.example",))
    from reports.models import Delivery

    lost = Delivery.objects.get().message_id
    Delivery.objects.all().delete()
    Report.objects.all().delete()

    made(north, recipients=("anna@mill.example",))

    assert Delivery.objects.get().message_id != lost


# --- no readings, no machines, no assessment ------------------------------------------
def test_no_machine_is_said_on_page_one(north):
    callers.confine(north)
    Machine.objects.update(retired_on=NOW.date())

    report = made(north)

    assert report.state == ReportState.PUBLISHED
    assert "No machine of this place was in service." in text_of(report)


def test_a_machine_without_any_reading_is_said_to_be_unknown(north):
    report = made(north)

    printed = text_of(report)
    assert "Too little is known of this machine to assess it." in printed
    assert "Not assessed at all: MH-1." in printed


def test_a_job_that_was_given_up_leaves_a_failed_report(north, monkeypatch):
    report = asked(north)

    def breaks(**_):
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr(sys.modules["reports.publishing.publishing"], "compose", breaks)
    for _ in range(project.JOB_MAX_ATTEMPTS):
        Job.objects.update(due_at=NOW)
        with pytest.raises(RuntimeError):
            run_jobs(north, kind=publishing.PUBLISH)
        callers.confine(north)

    report.refresh_from_db()
    assert report.state == ReportState.FAILED
    assert report.problem == "not made: RuntimeError"
    assert asked(north).revision == 2
