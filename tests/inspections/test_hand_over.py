"""A machine goes to another house with all its history, or nothing of it does.

Fault 75.
"""

import hashlib
import io
import json
import zipfile
from datetime import date

import pytest
from django.core.files.storage import default_storage

from fleet.models import Building, Groove, Machine, Rope, Sheave
from fleet.platform import printing
from fleet.platform.database.tenancy import acting_for
from fleet.platform.errors import NotFound
from fleet.register import quotas
from inspections import handover, tasks
from inspections.handover import giving, taking, unpacking
from inspections.models import (
    HandedRow,
    HandOver,
    Reading,
    ReadingReview,
    Stop,
    StopEvent,
    Visit,
    VisitPhoto,
)
from tests import callers, factories
from tests.inspections.api.test_photos import picture, send

pytestmark = pytest.mark.django_db

NOW = factories.NOW
THIN = {"value": "9", "unit": "mm", "reference": "thin"}
USUAL = {"value": "12.8", "unit": "mm", "reference": "usual", "rope": 2}
SLIP = {"kind": "slip_seen", "rope": None, "value": "yes", "reference": "slip"}
WORD = {"word_by": "Mill Trust", "word_on": date(2026, 5, 1), "words": "letter 12"}


@pytest.fixture(autouse=True)
def no_bell(monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def north():
    """The giving house: a machine that was read, corrected, seen, photographed."""
    cast = factories.cast(code="north")
    callers.upload(cast, factories.upload(THIN, USUAL, SLIP))
    again = {"value": "12.7", "unit": "mm", "reference": "again", "corrects": "usual"}
    told = callers.upload(cast, factories.upload(again | {"rope": 2, "note": "typing"}))
    assert told.json()["counts"] == {"stored": 1}, told.json()
    callers.confine(cast)
    visit = Visit.objects.order_by("pk").first()
    assert send(cast, visit.pk, picture()).status_code == 201
    callers.confine(cast)
    ReadingReview.objects.create(
        contractor=cast.contractor,
        reading=Reading.objects.get(reference="again"),
        accepted=False,
        membership_id=cast.memberships["OFFICE"].pk,
        why="read on the wrong rope",
    )
    return cast


@pytest.fixture
def south():
    return factories.cast(code="south")


def scope_of(cast):
    return cast.scope()


def offered(cast):
    callers.confine(cast)
    machine = Machine.objects.get(code="MH-1")
    scope = scope_of(cast)
    return handover.offer(scope=scope, machine_id=machine.pk, house="South", **WORD)


def fetched(cast, hand_over):
    callers.confine(cast)
    target = io.BytesIO()
    handover.pack(
        scope=scope_of(cast), hand_over_id=hand_over.pk, now=NOW, target=target
    )
    return target.getvalue()


def take(cast, content, **how):
    callers.confine(cast)
    building = Building.objects.order_by("pk").first()
    return handover.take(
        scope=scope_of(cast),
        file=io.BytesIO(content),
        **({"building_id": building.pk, "code": "FROM-N", "now": NOW} | how),
    )


def close(cast, hand_over, taken):
    """Give a machine by what the other house said of what it had taken."""
    callers.confine(cast)
    return giving.close(
        scope=scope_of(cast),
        hand_over_id=hand_over.pk,
        receipt=taken.hand_over.receipt if taken else "",
        now=NOW,
    )


def everything(cast):
    """Count all rows of a house that a hand-over could touch."""
    callers.confine(cast)
    tables = (Machine, Sheave, Groove, Rope, Visit, Reading, VisitPhoto, Stop, HandOver)
    return [table.objects.count() for table in tables]


def told(cast, machine_code):
    """Return what was read at a machine, in no house's own numbers."""
    callers.confine(cast)
    rows = Reading.objects.filter(machine__code=machine_code).order_by("pk")
    return [
        (
            r.kind,
            r.typed_value,
            r.typed_unit,
            r.value,
            r.word,
            r.taken_at,
            r.received_at,
            r.state,
            r.place,
            r.rope and r.rope.number,
            r.groove and r.groove.number,
            r.corrects_id is not None,
            [(v.accepted, v.why) for v in r.reviews.all()],
        )
        for r in rows
    ]


def open_stops(cast, machine_code):
    callers.confine(cast)
    rows = Stop.objects.filter(machine__code=machine_code, released_at=None)
    return sorted(
        (s.cause, s.place_kind, s.place, s.basis, s.since, len(s.readings))
        for s in rows
    )


@pytest.fixture
def file(north):
    return fetched(north, offered(north))


# --- what arrives ---------------------------------------------------------------------
def test_all_that_was_read_seen_and_said_stands_in_the_other_house(north, south, file):
    taken = take(south, file)

    assert told(south, "FROM-N") == told(north, "MH-1")
    assert len(told(south, "FROM-N")) == 4
    assert taken.counts["readings"] == 4
    callers.confine(south)
    [photo] = VisitPhoto.objects.all()
    with default_storage.open(photo.file) as opened:
        assert len(opened.read()) == photo.size_bytes


def test_every_row_says_where_it_came_from(north, south, file):
    taken = take(south, file)

    origins = HandedRow.objects.filter(hand_over=taken.hand_over)
    here = {r.pk: r for r in Reading.objects.filter(machine__code="FROM-N")}
    of_readings = origins.filter(table="readings")
    assert {row.row_id for row in of_readings} == set(here)
    assert origins.filter(table="machine").count() == 1
    assert {row.origin_reference for row in of_readings} == {
        *("thin", "usual", "slip", "again")
    }
    counts = {name: n for name, n in taken.counts.items() if name != "stops"}
    assert origins.count() == sum(counts.values())
    assert taken.hand_over.house == north.contractor.name
    assert (taken.hand_over.word_by, taken.hand_over.words) == (
        "Mill Trust",
        "letter 12",
    )


def test_an_open_stop_is_open_there_and_judging_makes_nothing_look_better(
    north, south, file
):
    before = open_stops(north, "MH-1")
    taken = take(south, file)

    assert before
    assert open_stops(south, "FROM-N") == before
    assert taken.open_stops == len(before)
    with acting_for(contractor_id=south.contractor.pk):
        kinds = set(StopEvent.objects.values_list("kind", flat=True))
    assert kinds == {"RAISED"}
    for job_id in taken.job_ids:
        tasks.assess(job_id=job_id)
    after = open_stops(south, "FROM-N")
    assert {stop[:3] for stop in before} <= {stop[:3] for stop in after}


def test_names_that_the_other_house_has_given_are_kept_apart(north, south, file):
    callers.upload(south, factories.upload(THIN))

    take(south, file)

    callers.confine(south)
    mine = Reading.objects.get(reference="thin")
    other = Reading.objects.get(reference__endswith="-thin")
    assert mine.machine.code == "MH-1"
    assert other.machine.code == "FROM-N"


def test_the_same_file_again_is_the_same_hand_over(south, file):
    first = take(south, file)
    counts = everything(south)

    again = take(south, file, code="ANOTHER")

    assert (again.repeated, again.hand_over.pk) == (True, first.hand_over.pk)
    assert everything(south) == counts


# --- all or nothing -------------------------------------------------------------------
def test_a_file_cut_at_any_byte_is_refused(file):
    for length in range(0, len(file), 7):
        with pytest.raises(unpacking.NotAHandOver):
            unpacking.opened(io.BytesIO(file[:length]))
    for length in range(len(file) - 40, len(file)):
        with pytest.raises(unpacking.NotAHandOver):
            unpacking.opened(io.BytesIO(file[:length]))


def repacked(content, change):
    """Return a file with a part changed, and the digests that it would then have."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
    return out.getvalue()


def with_digests(content, name, text):
    def change(each, old):
        if each == name:
            return text
        if each != "manifest.json":
            return old
        manifest = json.loads(old)
        digest = hashlib.sha256(text).hexdigest()
        manifest["files"][name] |= {"bytes": len(text), "sha256": digest}
        return json.dumps(manifest).encode()

    return repacked(content, change)


def test_a_part_that_was_changed_is_refused(south, file):
    counts = everything(south)
    odd = repacked(file, lambda n, c: c.replace(b'"9"', b'"8"'))

    with pytest.raises(unpacking.NotAHandOver, match="not what was packed"):
        take(south, odd)

    assert everything(south) == counts


ODD = (
    ("value", 1e400),
    ("value", "thirteen"),
    ("kind", "no such kind"),
    ("rope", 999_999),
    ("taken_at", "yesterday"),
    ("reference", "x" * 100),
    ("corrects", "itself"),
    ("contractor", 1),
)


def test_a_row_that_cannot_be_refuses_the_whole_file(south, file, media):
    counts, files = everything(south), sorted(media.rglob("*.*"))
    with zipfile.ZipFile(io.BytesIO(file)) as archive:
        lines = archive.read("readings.jsonl").splitlines()
    for field, value in ODD:
        rows = [json.loads(line) for line in lines]
        rows[-1][field] = rows[-1]["id"] if value == "itself" else value
        text = b"".join(json.dumps(row).encode() + b"\n" for row in rows)

        with pytest.raises(unpacking.NotAHandOver):
            take(south, with_digests(file, "readings.jsonl", text))

        assert everything(south) == counts, field
        assert sorted(media.rglob("*.*")) == files, field


# Fault 63.
def test_a_name_that_no_document_prints_is_refused_with_its_letter(south, file):
    counts = everything(south)
    with zipfile.ZipFile(io.BytesIO(file)) as archive:
        [line] = archive.read("machine.jsonl").splitlines()
    text = json.dumps(json.loads(line) | {"name": "大廈"}).encode() + b"\n"

    with pytest.raises(printing.Unprintable, match=r"U\+5927"):
        take(south, with_digests(file, "machine.jsonl", text))

    assert everything(south) == counts


def test_a_foreign_building_is_none_and_a_code_that_is_taken_is_said(
    north, south, file
):
    callers.confine(north)
    foreign = Building.objects.order_by("pk").first().pk
    counts = everything(south)

    with pytest.raises(NotFound):
        take(south, file, building_id=foreign)
    with pytest.raises(taking.CodeTaken):
        take(south, file, code="MH-1")

    assert everything(south) == counts


def test_a_quota_of_machines_or_photos_refuses_the_whole(south, file, media):
    counts, files = everything(south), sorted(media.rglob("*.*"))
    for column, limit in (("most_machines", 1), ("most_photo_bytes", 1)):
        rows = type(south.contractor).objects.filter(pk=south.contractor.pk)
        rows.update(most_machines=None, most_photo_bytes=None)
        rows.update(**{column: limit})

        with pytest.raises(quotas.QuotaReached):
            take(south, file)

        assert everything(south) == counts
        assert sorted(media.rglob("*.*")) == files


# --- the giving house -----------------------------------------------------------------
def test_nothing_changes_there_before_it_is_given_and_then_stops_end_with_it(
    north, south
):
    hand_over = offered(north)
    before = open_stops(north, "MH-1")
    fetched(north, hand_over)
    with pytest.raises(giving.ChangedSince):
        close(north, hand_over, None)
    assert open_stops(north, "MH-1") == before

    given = close(north, hand_over, take(south, fetched(north, hand_over)))

    assert given.state == "DONE"
    assert open_stops(north, "MH-1") == []
    callers.confine(north)
    assert set(Stop.objects.values_list("release", flat=True)) == {"RETIRED"}
    assert Machine.objects.get(code="MH-1").retired_on is not None
    assert len(told(north, "MH-1")) == 4


def test_what_was_read_after_the_file_was_taken_is_in_neither_house_and_said(
    north, south
):
    hand_over = offered(north)
    taken = take(south, fetched(north, hand_over))
    late = {"value": "12", "unit": "mm", "reference": "late"}
    callers.upload(north, factories.upload(late, reference="late"))
    callers.confine(north)

    # Fetched again, and only looked at: the other house has the first file.
    later = fetched(north, hand_over)
    with pytest.raises(giving.ChangedSince):
        close(north, hand_over, taken)
    with pytest.raises(taking.AnotherFile):
        take(south, later)

    callers.confine(north)
    giving.withdraw(scope=scope_of(north), hand_over_id=hand_over.pk, now=NOW)
    anew = offered(north)
    given = close(north, anew, take(south, fetched(north, anew), code="WHOLE"))
    assert given.state == "DONE"
    assert len(told(south, "FROM-N")) == 4
    assert len(told(south, "WHOLE")) == 5


def test_a_receipt_is_read_out_as_it_comes_and_the_giver_has_none(north, south):
    hand_over = offered(north)
    taken = take(south, fetched(north, hand_over))
    receipt = taken.hand_over.receipt
    callers.confine(north)
    hand_over.refresh_from_db()

    assert hand_over.receipt == hand_over.content_digest == ""
    assert len(receipt) == 14
    given = giving.close(
        scope=scope_of(north),
        hand_over_id=hand_over.pk,
        receipt=f" {receipt.replace('-', ' ').upper()}",
        now=NOW,
    )
    assert given.state == "DONE"


def test_an_offer_stands_once_and_can_be_taken_back(north):
    hand_over = offered(north)
    with pytest.raises(giving.AlreadyOffered):
        offered(north)

    giving.withdraw(scope=scope_of(north), hand_over_id=hand_over.pk, now=NOW)

    with pytest.raises(giving.NotToBeGiven):
        fetched(north, hand_over)
    assert offered(north).pk != hand_over.pk


def test_a_photo_whose_file_is_missing_gives_nothing(north, media):
    hand_over = offered(north)
    [photo] = VisitPhoto.objects.all()
    default_storage.delete(photo.file)

    with pytest.raises(handover.packing.PhotoMissing):
        fetched(north, hand_over)


def test_a_house_gives_only_its_own(north, south):
    callers.confine(south)
    foreign = Machine.objects.order_by("pk").first().pk
    callers.confine(north)

    with pytest.raises(NotFound):
        handover.offer(scope=scope_of(north), machine_id=foreign, house="South", **WORD)
