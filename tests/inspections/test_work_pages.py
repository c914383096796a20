"""Work on pages: planned, ordered, joined, reported done; stops ended in one's name."""

import re
from datetime import date

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.models import Work
from inspections import options
from inspections.models import (
    DueWork,
    OptionSet,
    PlannedWork,
    Reading,
    Stop,
)
from inspections.planning import joining
from inspections.planning.problems import NotThisWay
from inspections.reasons import Term, as_json, missing
from tests import callers, estates, factories
from tests.inspections.test_pages import browser, machine_of, open_stop, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def north():
    return factories.cast(code="north")


def hidden(answer):
    """Return what a form carries besides what people type."""
    return dict(
        re.findall(
            r'<input type="hidden" name="(mark|read)" value="([^"]*)"',
            answer.content.decode(),
        )
    )


def send(client, address, **typed):
    """Open a form and send it."""
    return client.post(address, hidden(client.get(address)) | typed)


def option(kind, **more):
    return {
        "kind": kind,
        "possible": "YES",
        "recommended": True,
        "out_of_service": False,
        "plan_before_on": "2030-05-01",
        "order_by_on": "2030-03-01",
        "next_reading_on": None,
        "lead_days": 20,
        "cost": {"currency": "EUR", "low": 4000.0, "mid": 5000.0, "high": 7000.0},
        "reasons": [],
        **more,
    }


def offer(cast, machine, *kinds, **more):
    OptionSet.objects.update_or_create(
        contractor=cast.contractor,
        machine=machine,
        defaults={
            "as_of": timezone.now(),
            "rules_version": "1",
            "inputs_digest": "0" * 64,
            "options": [option(kind, **more) for kind in kinds],
        },
    )


def plan(cast, code, kind, due_on, *, state="PLANNED"):
    machine = machine_of(cast, code)
    row = PlannedWork.objects.create(
        contractor=cast.contractor,
        machine=machine,
        kind=kind,
        chosen_at=timezone.now(),
        due_before_on=due_on,
        planned={"kind": kind},
        state=state,
    )
    options.due.refresh(scope=cast.scope(), machine_ids=[machine.pk])
    return row


def test_an_option_becomes_planned_work_once_and_is_ordered(north):
    machine = machine_of(north)
    offer(north, machine, "RE_ROPE", "SHORTEN")
    client = browser(north, "OFFICE")
    address = reverse("plan-work", args=(machine.pk,))
    form = hidden(client.get(address))
    typed = {"option": "RE_ROPE", "due_before_on": "31.03.2030", "note": "<b>ropes"}

    wrong = client.post(address, form | typed | {"due_before_on": "next May"})
    first, again = (client.post(address, form | typed) for _ in range(2))
    callers.confine(north)
    [work] = PlannedWork.objects.filter(contractor=north.contractor)
    page = text_of(client.get(first["Location"]))
    change = reverse("change-work", args=(work.pk,))
    ordered = send(client, change, state="ORDERED", order_by_on="", note="<b>ropes")

    assert wrong.status_code == 400
    assert "Write the day like 2026-03-31" in text_of(wrong)
    assert "&lt;b&gt;ropes" in text_of(wrong)
    assert (first.status_code, again["Location"]) == (302, first["Location"])
    assert work.due_before_on == date(2030, 3, 31)
    assert "EUR 4,000 – EUR 7,000" in page
    assert "<bdi>&lt;b&gt;ropes</bdi>" in page
    assert ordered.status_code == 302
    callers.confine(north)
    work.refresh_from_db()
    assert work.state == "ORDERED"
    owner = text_of(browser(north, "OWNER_READER").get(first["Location"]))
    assert "EUR" not in owner
    assert "ropes</bdi>" not in owner


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("blocked_because", "gesperrt: es fehlt: Masse des Fahrkorbs"),
        ("pointless_because", "Sagen Sie unten, warum es trotzdem gewählt wird."),
    ],
)
def test_a_choice_is_refused_in_the_readers_language(north, name, words):
    machine = machine_of(north)
    why = missing(Term.CAR_MASS)
    offer(north, machine, "RE_ROPE", **{name: [{"said": as_json(why), "text": "x"}]})
    client = browser(north, "OFFICE")
    client.cookies["django_language"] = "de"

    answer = send(client, reverse("plan-work", args=(machine.pk,)), option="RE_ROPE")

    assert answer.status_code == 400
    assert words in text_of(answer)
    assert "Auf Englisch" not in text_of(answer)


def test_the_second_of_two_is_told_what_the_first_changed(north):
    work = plan(north, "MH-1", "RE_ROPE", date(2030, 5, 1))
    client = browser(north, "OFFICE")
    address = reverse("change-work", args=(work.pk,))
    typed = {"state": "PLANNED", "due_before_on": "2030-05-01", "note": ""}
    mine, theirs = (hidden(client.get(address)) for _ in range(2))

    client.post(address, theirs | typed | {"due_before_on": "2030-02-01"})
    second = client.post(address, mine | typed | {"note": "by night"})

    assert second.status_code == 409
    assert "2030-02-01" in text_of(second)
    assert "by night" in text_of(second)
    callers.confine(north)
    work.refresh_from_db()
    assert (work.due_before_on, work.note) == (date(2030, 2, 1), "")


def test_work_on_the_machine_is_done_by_its_report_with_readings_as_left(north):
    work = plan(north, "MH-1", "RE_ROPE", date(2030, 5, 1))
    client = browser(north, "TECHNICIAN")
    address = reverse("report-done", args=(work.pk,))
    ropes = {
        f"left_rope_diameter_{n}_{part}": text
        for n in range(1, 6)
        for part, text in ((0, "13,05"), (1, "mm"))
    }
    typed = {
        "done_on": timezone.localdate().isoformat(),
        "done_by": "crew 4",
        "ropes_count": "5",
        "nominal_diameter_mm_0": "13",
        "nominal_diameter_mm_1": "mm",
    }

    worded = send(client, address, **typed, **ropes | {"left_rope_diameter_1_1": "lb"})
    faulty = send(client, address, **typed, **ropes | {"left_rope_diameter_1_0": "-3"})
    callers.confine(north)
    assert not Reading.objects.filter(reference__startswith="left-").exists()
    done = send(client, address, **typed, **ropes)

    assert faulty.status_code == 400
    assert 'id="id_left_rope_diameter_1_error"' in text_of(faulty)
    assert "Some readings cannot be taken as they are." in text_of(faulty)
    assert worded.status_code == 400
    assert "This unit is not taken here" in text_of(worded)
    assert done.status_code == 302, text_of(done)
    callers.confine(north)
    work.refresh_from_db()
    assert work.state == "DONE"
    read = Reading.objects.filter(reference__startswith=f"left-{work.pk}-")
    assert {row.typed_value for row in read} == {"13.05"}
    assert read.count() == 5
    page = text_of(client.get(reverse("planned-work", args=(work.pk,))))
    assert "5 readings are stored." in page
    assert "Report it done" not in page


def test_neighbours_move_to_the_earliest_day_and_others_do_not_join(north):
    near = plan(north, "MH-1", "REGROOVE_IN_SHOP", date(2030, 5, 1))
    far = plan(north, "QC-1", "REGROOVE_IN_SHOP", date(2030, 9, 1))
    scope = north.scope()
    ids = [near.pk, far.pk]

    with pytest.raises(NotThisWay):
        joining.join(scope=scope, planned_ids=ids, now=timezone.now())
    building = machine_of(north, "MH-1").building_id
    type(near.machine).objects.filter(code="QC-1").update(building=building)
    options.due.refresh(scope=scope, machine_ids=[near.machine_id, far.machine_id])
    with pytest.raises(NotThisWay):
        joining.join(scope=scope, planned_ids=[near.pk], now=timezone.now())
    answer = send(browser(north, "OFFICE"), reverse("join-hoisting"), works=ids)

    assert answer.status_code == 302, text_of(answer)
    callers.confine(north)
    for work in (near, far):
        work.refresh_from_db()
        assert work.due_before_on == date(2030, 5, 1)
    assert "with MH-1" in far.steps.get().words
    lines = DueWork.objects.filter(planned_work__in=ids)
    assert {line.due_before_on for line in lines} == {date(2030, 5, 1)}


def test_new_ropes_next_door_are_joined_at_one_access(north):
    near = plan(north, "MH-1", "RE_ROPE", date(2030, 5, 1))
    far = plan(north, "QC-1", "REGROOVE_IN_SHOP", date(2030, 9, 1))
    scope = north.scope()
    building = machine_of(north, "MH-1").building_id
    type(near.machine).objects.filter(code="QC-1").update(building=building)
    options.due.refresh(scope=scope, machine_ids=[near.machine_id, far.machine_id])
    client = browser(north, "OFFICE")

    page = text_of(client.get(reverse("calendar")))
    answer = send(client, reverse("join-hoisting"), works=[near.pk, far.pk])

    assert "One access instead of 2." in page
    assert answer.status_code == 302, text_of(answer)
    callers.confine(north)
    far.refresh_from_db()
    assert far.due_before_on == date(2030, 5, 1)
    assert far.steps.get().words == "done at one access with MH-1"


def test_only_a_competent_member_ends_a_stop_and_the_page_says_so():
    north = estates.world().north
    machine = machine_of(north, "QC-1")
    stop = open_stop(north, machine)
    type(stop).objects.filter(pk=stop.pk).update(cause="OTHER", readings=[])
    client = browser(north, "OFFICE")
    refute = reverse("refute-stop", args=(stop.pk,))
    page = text_of(client.get(refute))

    refused = send(client, refute, why="a scratch")
    empty = send(client, refute, why="")

    assert "no release by an authority" in page
    assert "isolate and lock out" in page
    assert refused.status_code == 400
    assert "a scratch" in text_of(refused)
    assert empty.status_code == 400
    callers.confine(north)
    assert Stop.objects.get(pk=stop.pk).is_open
    Work.objects.filter(machine=machine).update(kind="ROPING")
    type(stop).objects.filter(pk=stop.pk).update(cause="BRAKE_SLIDES")
    assert "No work that answers this cause" in text_of(
        client.get(reverse("accept-stop", args=(stop.pk,)))
    )


def test_a_new_rim_is_reported_with_its_geometry_and_as_left(north):
    work = plan(north, "MH-1", "RENEW_RIM", date(2030, 5, 1))
    client = browser(north, "OFFICE")
    address = reverse("report-done", args=(work.pk,))
    old = work.machine.sheaves.get(retired_on=None)
    old.rim_construction = "BOLTED"
    old.save()
    typed = {
        "done_on": timezone.localdate().isoformat(),
        "done_by": "crew 4",
        "form": "UNDERCUT",
        "groove_angle_deg": "30",
        "undercut_angle_deg": "90",
        "surface": "BARE",
        "pitch_diameter_mm_0": "601.5",
        "pitch_diameter_mm_1": "mm",
        "seat_radius_mm_0": "6.7",
        "seat_radius_mm_1": "mm",
        "nominal_diameter_mm_0": "13",
        "nominal_diameter_mm_1": "mm",
        "grooves_count": str(old.grooves.count()),
        "ropes_count": str(old.grooves.count()),
        "left_rope_diameter_1_0": "13.05",
        "left_rope_diameter_1_1": "mm",
    }

    shown = text_of(client.get(address))
    without = send(client, address, **{**typed, "pitch_diameter_mm_0": ""})
    done = send(client, address, **typed)

    # Nothing of the old rim is offered as the new one's.
    assert 'name="pitch_diameter_mm_0" value=' not in shown
    assert without.status_code == 400
    assert done.status_code == 302, text_of(done)
    callers.confine(north)
    new = work.machine.sheaves.get(retired_on=None)
    cut = new.geometries.get()
    assert new.pk != old.pk
    assert (cut.form, cut.pitch_diameter_mm) == ("UNDERCUT", 601.5)
    assert cut.hardened_depth_mm is None
    assert new.rim_construction == "BOLTED"
    numbers = set(old.grooves.values_list("number", flat=True))
    assert set(new.grooves.values_list("number", flat=True)) == numbers
    assert {row.sheave for row in work.machine.rope_sets.filter(retired_on=None)} == {
        new
    }
    assert Reading.objects.filter(reference=f"left-{work.pk}-rope_diameter-1").exists()
    work.refresh_from_db()
    assert work.state == "DONE"


def test_a_new_sheave_may_have_fewer_grooves_and_ropes_than_the_old(north):
    machine = machine_of(north)
    before = machine.rope_sets.get(retired_on=None).ropes_count
    client = browser(north, "OFFICE")
    address = f"{reverse('report-work', args=(machine.pk,))}?kind=SHEAVE_REPLACEMENT"
    typed = {
        "done_on": timezone.localdate().isoformat(),
        "form": "UNDERCUT",
        "undercut_angle_deg": "90",
        "surface": "BARE",
        "pitch_diameter_mm_0": "640",
        "pitch_diameter_mm_1": "mm",
        "nominal_diameter_mm_0": "13",
        "nominal_diameter_mm_1": "mm",
        "grooves_count": "4",
        "ropes_count": "4",
        "left_rope_diameter_4_0": "13.05",
        "left_rope_diameter_4_1": "mm",
    }
    gone = {"left_rope_diameter_5_0": "13.05", "left_rope_diameter_5_1": "mm"}

    refused = send(client, address, **typed, **gone)
    done = send(client, address, **typed)

    assert before == 5
    assert refused.status_code == 400
    assert "this is there no more" in text_of(refused)
    assert done.status_code == 302, text_of(done)
    callers.confine(north)
    sheave = machine.sheaves.get(retired_on=None)
    assert sheave.grooves.count() == 4
    ropes = machine.rope_sets.get(retired_on=None)
    assert (ropes.ropes_count, ropes.ropes.count()) == (4, 4)
    assert Reading.objects.filter(rope__rope_set=ropes, rope__number=4).exists()


def test_more_ropes_than_before_have_their_fields_before_anything_is_stored(north):
    machine = machine_of(north)
    client = browser(north, "OFFICE")
    address = f"{reverse('report-work', args=(machine.pk,))}?kind=SHEAVE_REPLACEMENT"
    typed = {
        "done_on": timezone.localdate().isoformat(),
        "form": "UNDERCUT",
        "undercut_angle_deg": "90",
        "surface": "BARE",
        "pitch_diameter_mm_0": "640",
        "pitch_diameter_mm_1": "mm",
        "nominal_diameter_mm_0": "13",
        "nominal_diameter_mm_1": "mm",
        "grooves_count": "6",
        "ropes_count": "6",
    }

    asked = send(client, address, **typed)
    shown = text_of(asked)
    sixth = {"left_rope_diameter_6_0": "13.02", "left_rope_diameter_6_1": "mm"}
    crown = {"left_rope_crown_height_6_0": "", "left_rope_crown_height_6_1": "mm"}
    done = send(client, address, **typed, **sixth, **crown)

    assert asked.status_code == 400
    assert 'name="left_rope_diameter_6_0"' in shown
    assert done.status_code == 302, text_of(done)
    callers.confine(north)
    ropes = machine.rope_sets.get(retired_on=None)
    assert ropes.ropes.count() == 6
    read = Reading.objects.get(rope__rope_set=ropes, rope__number=6)
    assert read.value == 13.02


def test_work_that_nobody_planned_is_reported_at_its_machine(north):
    machine = machine_of(north)
    client = browser(north, "TECHNICIAN")
    address = reverse("report-work", args=(machine.pk,))
    before = set(Work.objects.values_list("pk", flat=True))

    choice = text_of(client.get(address))
    form = hidden(client.get(f"{address}?kind=REPAIR"))
    typed = {"done_on": timezone.localdate().isoformat(), "note": "new <b>brake</b>"}
    first, again = (client.post(f"{address}?kind=REPAIR", form | typed) for _ in "12")

    assert f'href="{address}?kind=REPAIR"' in choice
    assert client.post(address, form).status_code == 404
    assert client.get(f"{address}?kind=NONE").status_code == 200
    assert (first.status_code, again.status_code) == (302, 302), text_of(first)
    callers.confine(north)
    [work] = Work.objects.exclude(pk__in=before)
    assert (work.machine, work.kind) == (machine, "REPAIR")
    assert work.done_by_member == north.memberships["TECHNICIAN"].pk
