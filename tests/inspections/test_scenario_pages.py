"""Scenarios on pages: two columns, kept by name, and the groove window."""

from urllib.parse import quote

import pytest
import time_machine

from inspections.models import Scenario
from tests import callers, factories
from tests.inspections.options import worn
from tests.inspections.test_pages import browser, text_of
from tests.inspections.test_work_pages import send

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def that_day():
    with time_machine.travel("2026-05-05T23:59:30+00:00", tick=True):
        yield


@pytest.fixture
def machine(north):
    worn.read(north)
    return worn.look(north)


@pytest.fixture
def north():
    return factories.cast(code="north")


def test_a_change_is_tried_kept_shared_and_worked_out_anew(north, machine):
    office = browser(north, "OFFICE")
    page = f"/machines/{machine.pk}/try"

    empty = office.get(page)
    tried = office.get(f"{page}?undercut_angle_deg=90&cut_depth_mm=2,0")
    refused = office.get(f"{page}?undercut_angle_deg=130")
    unknown = office.get(f"{page}?wrap=DOUBLE")

    assert "The answer" not in text_of(empty)
    assert tried.status_code == 200
    said = text_of(tried)
    assert "undercut angle <strong>90 °</strong>" in said
    assert "Then, least" in said
    assert "load on the shaft, at most" in said
    assert (refused.status_code, unknown.status_code) == (422, 422)
    assert "106" in text_of(refused)
    assert "give whole angle of wrap, over all passes" in text_of(unknown)
    # What is registered stands beside its field.
    assert "now 1200 kg" in text_of(empty)
    callers.confine(north)
    assert not Scenario.objects.exists()

    asked = quote('{"undercut_angle_deg": 90.0, "cut_depth_mm": 2.0}')
    keep = f"{page}/keep?changes={asked}"
    changes = '{"undercut_angle_deg": 90.0, "cut_depth_mm": 2.0}'
    kept = send(office, keep, name="a smaller undercut", changes=changes)
    again = send(office, keep, name="a smaller undercut", changes=changes)
    callers.confine(north)
    row = Scenario.objects.get()
    assert kept["Location"] == again["Location"] == f"/scenarios/{row.pk}"
    assert row.changes == {"undercut_angle_deg": 90.0, "cut_depth_mm": 2.0}
    assert not row.shared_with_owner

    planned = office.get(
        f"/machines/{machine.pk}/plan?option=REGROOVE_IN_SHOP&scenario={row.pk}"
    )
    assert "undercut angle 90 °; cut below the deepest seat 2 mm" in text_of(planned)
    link = f"option=REGROOVE_IN_SHOP&amp;scenario={row.pk}"
    assert link in text_of(office.get(f"/scenarios/{row.pk}"))

    owner = browser(north, "OWNER_READER")
    assert owner.get(f"/scenarios/{row.pk}").status_code == 404
    change = f"/scenarios/{row.pk}/change"
    shared = send(office, change, name="a smaller undercut", shared_with_owner="on")
    assert shared.status_code == 302
    seen = owner.get(f"/scenarios/{row.pk}")
    assert seen.status_code == 200
    assert "Rename, share" not in text_of(seen)

    callers.confine(north)
    type(machine).objects.filter(pk=machine.pk).update(
        car_mass_kg=1150.0, version=machine.version + 1
    )
    assert "known otherwise" in text_of(office.get(f"/scenarios/{row.pk}"))
    send(
        office,
        change,
        name="a smaller undercut",
        shared_with_owner="on",
        anew="on",
    )
    assert "known otherwise" not in text_of(office.get(f"/scenarios/{row.pk}"))


def test_what_is_refused_names_things_as_the_page_does_in_german(north, machine):
    office = browser(north, "OFFICE")
    office.post("/prefer", {"language": "de", "next": "/"})

    told = text_of(office.get(f"/machines/{machine.pk}/try?slot_width_mm=5"))
    more = text_of(office.get(f"/machines/{machine.pk}/try?ropes_count=9"))

    assert "ist kein Maß der Form" in told
    assert "slot_width_mm ist" not in told
    assert "9 Rillen werden gebraucht" in more


def test_the_window_is_a_map_and_a_table_in_both_languages(north, machine):
    office = browser(north, "OFFICE")

    english = office.get(f"/machines/{machine.pk}/window?margin=0&to_depth_mm=2")
    office.post("/prefer", {"language": "de", "next": "/"})
    german = office.get(f"/machines/{machine.pk}/window?margin=0,02&to_depth_mm=2")
    wrong = office.get(f"/machines/{machine.pk}/window?margin=0,9")

    assert (english.status_code, german.status_code) == (200, 200)
    said = text_of(english)
    assert "cuts hold" in said
    assert ("Suggested middle" in said) != ("No cut holds" in said)
    assert b"<svg" in english.content
    assert b"style=" not in english.content
    assert "Rillenfenster" in text_of(german)
    assert wrong.status_code == 422


def test_what_the_machine_is_made_for_is_entered_and_compared(north, machine):
    office = browser(north, "OFFICE")
    page = f"/machines/{machine.pk}/set-up/limits"
    before = office.get(f"/machines/{machine.pk}/try?car_mass_kg=1000")

    entered = send(
        office,
        page,
        shaft_load_limit_kn_0="40",
        shaft_load_limit_kn_1="kN",
        top_clearance_mm_0="30",
        top_clearance_mm_1="in",
    )

    assert entered.status_code == 302
    callers.confine(north)
    row = type(machine).objects.get(pk=machine.pk)
    assert row.shaft_load_limit_kn == 40.0
    assert row.top_clearance_mm == pytest.approx(762.0)
    inches = office.get(
        f"/machines/{machine.pk}/try?shorten_ropes_mm_0=2&shorten_ropes_mm_1=in"
    )
    assert "what it may carry or gives is not entered" in text_of(before)
    assert "at its hitch <strong>50.8 mm</strong>" in text_of(inches)
    said = text_of(inches)
    # 30 inches less the two that the ropes are shorter.
    assert "711.2 mm" in said
    assert "the mass of the machine is not entered" in said
    assert "not priced here" in text_of(before)
