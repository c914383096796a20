"""A visit made at another machine than it said is moved in one step."""

import pytest
from django.db import IntegrityError
from django.urls import reverse

from fleet.models import Machine
from fleet.platform import printing
from inspections import queries
from inspections.models import (
    Reading,
    ReadingReview,
    UrgentMail,
    Visit,
    VisitMove,
    VisitPhoto,
)
from tests import callers, factories
from tests.inspections.api import test_photos
from tests.inspections.stops.conftest import (
    NO_SLIP,
    SLIP,
    kinds,
    machine,
    mark_competent,
    repair,
    stops,
)
from tests.inspections.stops.test_told import hire, wait
from tests.inspections.test_pages import browser, text_of
from tests.inspections.test_work_pages import send

pytestmark = pytest.mark.django_db

THIN = {"value": "9", "unit": "mm"}
WHY = "the neighbour's label was scanned"


def breaks(number, *, rope=1):
    return {
        "kind": "breaks_total",
        "rope": rope,
        "value": str(number),
        "unit": "1",
        "place": {"window": "lay"},
    }


def move(cast, visit, *, to="QC-1", role="OFFICE", why=WHY):
    body = {"machine": machine(cast, to).pk, "why": why}
    path = f"/api/v1/visits/{visit}/move"
    answer = callers.call(cast, "POST", path, body, role=role)
    callers.confine(cast)
    return answer


def visit_of(answer):
    return answer["visits"][0]["id"]


def test_copies_stand_at_the_right_machine_and_origins_are_set_aside(north, read):
    sent = read(breaks(3), {"value": "12.8", "unit": "mm"})
    origins = [each["id"] for each in sent["readings"]]

    answer = move(north, visit_of(sent))

    assert answer.status_code == 201, answer.content
    body = answer.json()
    assert [pair[0] for pair in body["pairs"]] == origins
    copies = Reading.objects.filter(pk__in=[pair[1] for pair in body["pairs"]])
    assert {row.machine.code for row in copies} == {"QC-1"}
    assert sorted(row.typed_value for row in copies) == ["12.8", "3"]
    to_visit = Visit.objects.get(pk=body["to_visit"])
    assert to_visit.membership_id == north.memberships["TECHNICIAN"].pk
    for code, count in (("MH-1", 0), ("QC-1", 2)):
        used = queries.usable_readings(
            scope=north.scope(),
            machine_ids=[machine(north, code).pk],
            until=factories.NOW,
        )
        assert len(used) == count, code
    assert Reading.objects.filter(pk__in=origins).count() == 2


def test_the_right_machine_is_stopped_in_the_same_step(north, read):
    mark_competent(north)
    sent = read(SLIP)

    body = move(north, visit_of(sent)).json()

    [wrong, right] = stops(north)
    assert (wrong.machine.code, right.machine.code) == ("MH-1", "QC-1")
    assert [each["id"] for each in body["raised"]] == [right.pk]
    # A slip is looked at again before its stop ends, whatever the label said.
    assert body["stays"] == [{"stop": wrong.pk, "why": "look-again"}]
    assert wrong.is_open
    assert right.is_open


def test_a_slip_at_the_wrong_machine_ends_once_it_was_looked_at(north, read):
    mark_competent(north)
    sent = read(SLIP)
    read(NO_SLIP, at="2026-05-05T10:00:00+01:00")

    body = move(north, visit_of(sent)).json()

    [wrong, right] = stops(north)
    assert [each["id"] for each in body["ended"]] == [wrong.pk]
    assert (wrong.release, wrong.release_why) == ("MOVED", WHY)
    assert right.is_open


def test_a_worked_out_stop_of_the_wrong_machine_ends_and_both_are_judged(
    north, read, assess
):
    mark_competent(north)
    sent = read(breaks(60))
    assess()

    body = move(north, visit_of(sent)).json()
    assess()

    [wrong, right] = stops(north)
    assert [each["id"] for each in body["ended"]] == [wrong.pk]
    assert (right.machine.code, right.cause) == ("QC-1", "BROKEN_WIRES")
    assert [each.is_open for each in (wrong, right)] == [False, True]


def test_without_competence_the_wrong_machines_stop_stays(north, read, assess):
    sent = read(breaks(60))
    assess()

    body = move(north, visit_of(sent)).json()

    [wrong] = stops(north)
    assert body["stays"] == [{"stop": wrong.pk, "why": "not-competent"}]
    assert wrong.is_open


def test_a_stop_that_rests_on_other_readings_too_stays(north, read):
    mark_competent(north)
    sent = read(SLIP)
    read(SLIP, at="2026-05-04T11:00:00+01:00")

    body = move(north, visit_of(sent)).json()

    assert [each["why"] for each in body["stays"]] == ["other-readings"]


def test_everyone_who_was_told_is_told_of_the_move(north, read):
    sent = read(THIN)

    body = move(north, visit_of(sent)).json()

    rows = UrgentMail.objects.filter(visit_move=body["id"])
    assert [row.address for row in rows] == ["anna@lifts.example"]


def test_nobody_is_told_of_a_move_where_nobody_was_told(north, read):
    sent = read({"value": "12.8", "unit": "mm"})

    move(north, visit_of(sent))

    assert UrgentMail.objects.count() == 0


def test_its_photos_move_with_it(north, read, settings, tmp_path):
    settings.MEDIA_ROOT = str(tmp_path)
    sent = read(breaks(3))
    photo = test_photos.send(north, visit_of(sent), test_photos.picture())
    assert photo.status_code == 201, photo.content

    body = move(north, visit_of(sent)).json()

    [row] = VisitPhoto.objects.all()
    assert (row.visit_id, row.machine.code) == (body["to_visit"], "QC-1")


def test_a_visit_moves_to_the_rope_set_that_was_fitted_on_its_day(north, read, assess):
    mark_competent(north)
    sent = read(breaks(60))
    assess()
    [wrong] = stops(north)
    new = renewed(machine(north), on="2026-05-01")

    body = move(north, visit_of(sent), to="MH-1").json()
    assess()

    assert [each["id"] for each in body["ended"]] == [wrong.pk]
    [_, copy] = body["pairs"][0]
    assert Reading.objects.get(pk=copy).rope.rope_set == new
    assert [each.rope.rope_set_id for each in stops(north, released_at=None)] == [
        new.pk
    ]


def renewed(of, *, on):
    """Record late that the ropes of a machine were renewed on a day."""
    old = of.rope_sets.get()
    ropes = list(old.ropes.order_by("number"))
    old.retired_on = on
    old.save()
    new = of.rope_sets.get()
    new.pk, new.fitted_on, new.retired_on = None, on, None
    new.save(force_insert=True)
    for rope in ropes:
        rope.pk, rope.rope_set = None, new
        rope.save(force_insert=True)
    return new


# --- refused --------------------------------------------------------------------------
def test_what_does_not_fit_there_moves_nothing(north, read):
    sent = read(breaks(3), breaks(4, rope=2))
    of = machine(north, "QC-1")
    of.rope_sets.update(retired_on="2021-01-01")

    answer = move(north, visit_of(sent))

    assert callers.is_problem(answer, 422, "does-not-fit")
    assert VisitMove.objects.count() == ReadingReview.objects.count() == 0
    assert Reading.objects.count() == 2


def test_a_visit_is_moved_to_no_machine_that_was_not_there_yet(north, read):
    Machine.objects.filter(code="QC-1").update(installed_on="2026-05-05")

    answer = move(north, visit_of(read(SLIP)))

    assert callers.is_problem(answer, 422, "does-not-fit")
    assert "installed on 2026-05-05" in answer.json()["detail"]


def test_what_was_read_before_a_machine_was_installed_is_kept_and_asked_about(
    north, read
):
    Machine.objects.filter(code="MH-1").update(installed_on="2026-05-05")

    [found] = read(SLIP)["readings"]

    assert found["warnings"][-1]["code"] == "machine-not-yet"
    assert len(stops(north)) == 1


def test_a_visit_is_moved_once(north, read):
    sent = read(breaks(3))
    move(north, visit_of(sent))

    assert callers.is_problem(move(north, visit_of(sent)), 409, "moved-already")


def test_a_visit_is_not_moved_to_where_it_is(north, read):
    sent = read(breaks(3))

    answer = move(north, visit_of(sent), to="MH-1")

    assert callers.is_problem(answer, 422, "same-machine")


def test_what_work_has_left_is_not_moved_alone(north, clock):
    repair(north, breaks(0))
    visit = Visit.objects.get()

    assert callers.is_problem(move(north, visit.pk), 409, "belongs-to-work")


def test_a_moved_reading_is_not_accepted_again_at_the_wrong_machine(north, read):
    sent = read(breaks(3))
    [pk] = [each["id"] for each in sent["readings"]]
    move(north, visit_of(sent))

    answer = callers.call(
        north, "POST", f"/api/v1/readings/{pk}/review", {"accepted": True, "why": "x"}
    )

    assert callers.is_problem(answer, 409, "made-elsewhere")


# --- who ------------------------------------------------------------------------------
def test_a_technician_moves_own_visits_only(north, read):
    own, others = read(breaks(3)), read(breaks(4), role="OFFICE")

    mine = move(north, visit_of(own), role="TECHNICIAN")
    theirs = move(north, visit_of(others), role="TECHNICIAN")

    assert mine.status_code == 201, mine.content
    assert callers.is_problem(theirs, 403, "permission-denied")


def test_an_owners_reader_moves_nothing(north, read):
    sent = read(breaks(3))

    answer = move(north, visit_of(sent), role="OWNER_READER")

    assert callers.is_problem(answer, 403, "permission-denied")


def test_another_contractors_visit_or_machine_is_not_there(north, read):
    sent = read(breaks(3))
    south = factories.cast(code="south")
    there = machine(south).pk

    foreign_visit = move(south, visit_of(sent))
    body = {"machine": there, "why": WHY}
    path = f"/api/v1/visits/{visit_of(sent)}/move"
    foreign_machine = callers.call(north, "POST", path, body)

    assert callers.is_problem(foreign_visit, 404, "not-found")
    assert callers.is_problem(foreign_machine, 422, "does-not-fit")


# --- from one end to the other --------------------------------------------------------
def shown(cast, code):
    """Return a machine's page as the office reads it."""
    path = f"/api/v1/machines/{machine(cast, code).pk}/page"
    answer = callers.call(cast, "GET", path)
    assert answer.status_code == 200, answer.content
    callers.confine(cast)
    return answer.json()


def broken_wires(page):
    found = [f for f in page["findings"] if f["topic"] == "broken wires"]
    return sorted({f["grade"] for f in found})


def test_a_visit_moved_over_http_judges_both_machines_and_tells_all_who_were_told(
    north, read, assess, clock
):
    mark_competent(north)
    hire(north, "cleo", order=1)
    hire(north, "dana", order=2)
    sent = read(breaks(60), {"value": "12.8", "unit": "mm"})
    assess()
    wait(north, clock, 61)
    before = shown(north, "MH-1"), shown(north, "QC-1")

    body = move(north, visit_of(sent)).json()
    assess()

    wrong, right = shown(north, "MH-1"), shown(north, "QC-1")
    assert [page["out_of_service"] for page in before] == [True, False]
    assert [page["out_of_service"] for page in (wrong, right)] == [False, True]
    assert "ACT_NOW" in broken_wires(before[0])
    assert "ACT_NOW" not in broken_wires(wrong)
    assert "ACT_NOW" in broken_wires(right)
    assert (wrong["grade"], right["grade"]) == ("NOT_ASSESSED", "STOPPED")
    assert wrong["last_readings"] == []
    assert {each["kind"] for each in right["last_readings"]} == {
        "breaks_total",
        "rope_diameter",
    }
    moved = UrgentMail.objects.filter(visit_move=body["id"])
    # Dana had not been told of it yet.
    assert sorted(mail.address for mail in moved) == [
        "anna@lifts.example",
        "cleo@lifts.example",
    ]
    [_, stop] = stops(north)
    assert "TOLD" in kinds(stop)


def test_a_visit_is_moved_on_its_page_with_its_why_and_once(north, read):
    visit = visit_of(read(breaks(3), {"value": "12.8", "unit": "mm"}))
    right = machine(north, "QC-1").pk
    address = reverse("move-visit", args=(visit,))
    client, other = browser(north, "OFFICE"), browser(north, "OWNER_READER")

    shown = text_of(client.get(address))
    unsaid = send(client, address, machine=right, why="")
    gone = send(client, address, machine="999999", why=WHY)
    moved = send(client, address, machine=right, why=WHY)
    again = send(client, address, machine=right, why=WHY)

    assert "MH-1" in shown
    assert "2 readings" in shown
    assert (unsaid.status_code, gone.status_code, again.status_code) == (400, 400, 400)
    assert moved.status_code == 302, text_of(moved)[-900:]
    assert other.get(address).status_code == 403
    callers.confine(north)
    row = VisitMove.objects.get()
    assert (row.from_visit_id, row.to_visit.machine_id, row.why) == (visit, right, WHY)


def test_the_database_moves_no_visit_onto_itself(north, read):
    visit = visit_of(read(SLIP))
    asked = {"from_visit_id": visit, "to_visit_id": visit, "moved_at": factories.NOW}

    with pytest.raises(IntegrityError, match="visit_moved_to_another"):
        VisitMove.objects.create(
            contractor=north.contractor, why=WHY, membership_id=1, **asked
        )


def test_a_note_of_before_that_turns_others_keeps_no_visit_where_it_is(
    north, read, monkeypatch
):
    turned = "room \u202e4.31"
    with monkeypatch.context() as before:
        # No door takes one by now; rows of before hold some.
        before.setattr(printing, "turning", lambda text: "")
        sent = read({**breaks(3), "note": turned}, note=turned)

    answer = move(north, visit_of(sent))

    assert answer.status_code == 201, answer.content
    [copy] = VisitMove.objects.get().to_visit.readings.all()
    assert (copy.note, copy.visit.note) == ("room 4.31", "room 4.31")
