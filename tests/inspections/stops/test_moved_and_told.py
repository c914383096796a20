"""A visit is moved and nothing is lost: corrections, refutations, what comes later."""

import pytest

from fleet.models import Membership
from inspections import queries, urgent
from inspections.models import (
    Reading,
    ReadingReview,
    UrgentMail,
    Visit,
    VisitPhoto,
)
from inspections.releases import following
from tests import callers, factories
from tests.inspections.api import test_photos
from tests.inspections.stops.conftest import (
    NO_SLIP,
    SLIP,
    ask,
    machine,
    mark_competent,
    stops,
)
from tests.inspections.stops.test_correcting import check
from tests.inspections.stops.test_moving import WHY, breaks, move, visit_of
from tests.inspections.stops.test_told import hire, wait

pytestmark = pytest.mark.django_db

AT = "2026-05-04T10:00:00+01:00"


def send(cast, reading, *, visit="sv-1", to="MH-1", role="TECHNICIAN", name="x-1"):
    """Send one reading more of a visit that is stored."""
    named = reading | {"reference": name}
    body = factories.upload(named, reference=visit, visited_at=AT, machine=to)
    answer = callers.upload(cast, body, role=role)
    assert answer.status_code == 207, answer.content
    callers.confine(cast)
    return answer.json()


def corrected(reading, of, **more):
    return {**reading, "corrects": of, "note": "ticked the wrong box", **more}


def used(cast, code):
    """Return what counts at a machine, as typed."""
    rows = queries.usable_readings(
        scope=cast.scope(), machine_ids=[machine(cast, code).pk], until=factories.NOW
    )
    return sorted((row.kind, row.word or row.typed_value) for row in rows)


def open_at(cast, code):
    return [s.cause for s in stops(cast, machine=machine(cast, code)) if s.is_open]


# --- whose word a copy is -------------------------------------------------------------
def test_who_moves_a_visit_corrects_nothing_in_it_to_the_better(north, read):
    sent = read(SLIP)
    moved = move(north, visit_of(sent)).json()
    there = Visit.objects.get(pk=moved["to_visit"]).reference
    [[origin, _]] = moved["pairs"]

    better = corrected(NO_SLIP, f"moved-{origin}")
    send(north, better, visit=there, to="QC-1", role="OFFICE")

    assert open_at(north, "QC-1") == ["ROPE_SLIP"]
    assert used(north, "QC-1") == [("slip_seen", "no"), ("slip_seen", "yes")]


def test_who_read_it_corrects_it_after_the_move_too(north, read):
    sent = read(SLIP)
    moved = move(north, visit_of(sent)).json()
    there = Visit.objects.get(pk=moved["to_visit"]).reference
    [[origin, _]] = moved["pairs"]

    better = corrected(NO_SLIP, f"moved-{origin}")
    send(north, better, visit=there, to="QC-1")

    assert open_at(north, "QC-1") == []
    assert used(north, "QC-1") == [("slip_seen", "no")]


def test_anothers_correction_has_not_looked_again_because_it_was_moved(north, read):
    mark_competent(north)
    sent = read(SLIP)
    later = "2026-05-04T10:30:00+01:00"
    send(north, corrected(NO_SLIP, "s-1-0", taken_at=later), role="OFFICE")

    move(north, visit_of(sent))

    [stop] = stops(north, machine=machine(north, "QC-1"))
    answer = ask(north, stop, "refute", {"why": "it says no"})
    assert callers.is_problem(answer, 422, "look-again")
    assert open_at(north, "QC-1") == ["ROPE_SLIP"]


def test_a_visit_moved_on_and_back_keeps_who_read_and_what_stops(north, read):
    mark_competent(north)
    sent = read(SLIP, breaks(3))
    there = move(north, visit_of(sent)).json()["to_visit"]

    back = move(north, there, to="MH-1").json()["to_visit"]

    copies = Reading.objects.filter(visit=back).select_related("upload")
    technician = north.memberships["TECHNICIAN"].pk
    assert {row.upload.membership_id for row in copies} == {technician}
    assert used(north, "QC-1") == []
    assert used(north, "MH-1") == [("breaks_total", "3"), ("slip_seen", "yes")]
    assert open_at(north, "MH-1") == ["ROPE_SLIP"]


# --- what was set aside at the wrong machine ------------------------------------------
def test_what_was_refuted_at_the_wrong_machine_stops_the_right_one(north, read, assess):
    mark_competent(north)
    sent = read(check("defect"))
    read(check("pass"), at="2026-05-05T10:00:00+01:00")
    assess()
    [wrong] = stops(north)
    assert ask(north, wrong, "refute", {"why": "none there"}).status_code == 200

    move(north, visit_of(sent))

    assert open_at(north, "QC-1") == ["CRACK"]
    assert open_at(north, "MH-1") == []


@pytest.mark.parametrize("how", ["refuted", "reviewed"])
def test_what_was_worked_out_and_set_aside_is_judged_where_it_was_read(
    north, read, assess, how
):
    mark_competent(north)
    sent = read(breaks(60))
    assess()
    [wrong] = stops(north)
    if how == "refuted":
        assert ask(north, wrong, "refute", {"why": "not these"}).status_code == 200
    else:
        set_aside(north, sent["readings"][0]["id"])
    assess()

    move(north, visit_of(sent))
    assess()

    assert open_at(north, "QC-1") == ["BROKEN_WIRES"]
    assert open_at(north, "MH-1") == []


def test_what_was_set_aside_and_stopped_nothing_stays_behind(north, read, assess):
    sent = read(breaks(3), breaks(0, rope=2))
    set_aside(north, sent["readings"][1]["id"])

    move(north, visit_of(sent))

    assert used(north, "QC-1") == [("breaks_total", "3")]


def test_a_reading_that_was_confirmed_is_confirmed_where_it_was_made(north, read):
    thin = {"value": "9", "unit": "mm"}
    sent = read(thin)
    [pk] = [each["id"] for each in sent["readings"]]
    said = {"accepted": True, "why": "measured twice"}
    path = f"/api/v1/readings/{pk}/review"
    assert callers.call(north, "POST", path, said).status_code == 201
    callers.confine(north)

    [[_, copy]] = move(north, visit_of(sent)).json()["pairs"]

    [word] = ReadingReview.objects.filter(reading=copy)
    assert (word.accepted, word.why) == (True, "measured twice")


def test_what_counts_beside_something_worse_is_not_lost_on_the_way(north, read):
    thin, thick = ({"value": each, "unit": "mm"} for each in ("11.9", "12.9"))
    sent = read(thin)
    send(north, thick, role="OFFICE", name="other")

    [[_, first], _] = move(north, visit_of(sent)).json()["pairs"]

    assert used(north, "QC-1") == [("rope_diameter", "11.9")]
    set_aside(north, first)
    assert used(north, "QC-1") == [("rope_diameter", "12.9")]


def set_aside(cast, pk):
    body = {"accepted": False, "why": "not so"}
    answer = callers.call(cast, "POST", f"/api/v1/readings/{pk}/review", body)
    assert answer.status_code == 201, answer.content
    callers.confine(cast)


# --- what comes in later --------------------------------------------------------------
def test_the_other_half_of_a_visit_follows_it(north, read, assess):
    sent = read(breaks(3))
    move(north, visit_of(sent))
    assess()

    answer = send(north, SLIP, name="late")

    assert [stop["machine"] for stop in answer["stops"]] == ["MH-1", "QC-1"]
    assert used(north, "MH-1") == []
    assert used(north, "QC-1") == [("breaks_total", "3"), ("slip_seen", "yes")]
    assert open_at(north, "QC-1") == ["ROPE_SLIP"]
    # It was said of this machine, and is looked at again there.
    assert open_at(north, "MH-1") == ["ROPE_SLIP"]


def test_it_follows_as_often_as_its_visit_was_moved(north, read):
    sent = read(breaks(3))
    there = move(north, visit_of(sent)).json()["to_visit"]
    move(north, there, to="MH-1")

    answer = send(north, SLIP, name="late")

    assert used(north, "MH-1") == [("breaks_total", "3"), ("slip_seen", "yes")]
    assert used(north, "QC-1") == []
    assert [stop["machine"] for stop in answer["stops"]] == ["MH-1", "QC-1"]


def test_a_correction_to_the_worse_reaches_what_was_moved(north, read):
    sent = read(breaks(3))
    move(north, visit_of(sent))

    send(north, corrected(breaks(30), "s-1-0"), name="fixed")

    assert used(north, "QC-1") == [("breaks_total", "30")]
    assert used(north, "MH-1") == []


def test_what_does_not_fit_there_stays_where_it_was_sent_and_is_logged(
    north, read, caplog
):
    sent = read(breaks(3))
    move(north, visit_of(sent))
    machine(north, "QC-1").rope_sets.update(retired_on="2021-01-01")

    send(north, breaks(4, rope=2), name="late")

    assert used(north, "MH-1") == [("breaks_total", "4")]
    assert following.logger.name in {row.name for row in caplog.records}


def test_a_photo_that_comes_later_stands_where_the_visit_was_made(
    north, read, settings, tmp_path
):
    settings.MEDIA_ROOT = str(tmp_path)
    sent = read(breaks(3))
    early, late = test_photos.picture(), test_photos.picture(size=(50, 30))
    test_photos.send(north, visit_of(sent), early)
    there = move(north, visit_of(sent)).json()["to_visit"]

    for raw in (early, late):
        assert test_photos.send(north, visit_of(sent), raw).status_code in (200, 201)

    callers.confine(north)
    rows = VisitPhoto.objects.all()
    assert {(row.visit_id, row.machine.code) for row in rows} == {(there, "QC-1")}
    assert len(rows) == 2


def test_nobody_keeps_a_visit_where_it_is_by_a_name(north, read):
    sent = read(breaks(3))
    [pk] = [each["id"] for each in sent["readings"]]
    send(north, breaks(1), visit=f"moved-{visit_of(sent)}", name=f"moved-{pk}")

    answer = move(north, visit_of(sent))

    assert answer.status_code == 201, answer.content
    assert used(north, "QC-1") == [("breaks_total", "3")]


# --- who is told ----------------------------------------------------------------------
def test_who_has_left_hears_neither_of_the_move_nor_of_what_waits(north, read, clock):
    hire(north, "cleo", order=1)
    sent = read(SLIP)
    wait(north, clock, 61)
    cleo = Membership.objects.get(person__email="cleo@lifts.example")
    waiting = UrgentMail.objects.get(membership_id=cleo.pk)
    path = f"/api/v1/people/{cleo.pk}/deactivate"
    assert callers.call(north, "POST", path, {}).status_code == 200
    callers.confine(north)

    body = move(north, visit_of(sent), why=WHY).json()

    told = UrgentMail.objects.filter(visit_move=body["id"])
    assert [mail.address for mail in told] == ["anna@lifts.example"]
    begun = urgent.OUTBOX.begin(
        scope=north.scope(), mail_id=waiting.pk, now=waiting.next_try_at
    )
    waiting.refresh_from_db()
    assert begun is None
    assert (waiting.state, waiting.last_answer) == ("FAILED", "its reader has left")
