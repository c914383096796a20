"""Setting up a machine in pages: from nothing to a first assessment in one sitting."""

import html
import re

import pytest
from django.test import Client
from django.urls import reverse

from fleet.models import Machine, Owner, Rope, RopeInGroove, Sheave
from inspections.models import Assessment, Reading
from tests import callers, factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def north():
    return factories.cast(code="north")


@pytest.fixture
def south():
    return factories.cast(code="south")


def browser(cast, role="OFFICE"):
    found = Client()
    found.force_login(cast.memberships[role].person)
    return found


def text(answer):
    return " ".join(answer.content.decode().split())


def filled(page):
    """Return what the form of a page would send as it stands."""
    body = page.content.decode()
    body = body[body.index("<main") : body.index("</main")]
    found = {}
    for tag in re.findall(r"<input[^>]*>", body):
        name = re.search(r'name="([^"]+)"', tag)
        value = re.search(r'value="([^"]*)"', tag)
        if name:
            found[name[1]] = html.unescape(value[1]) if value else ""
    for name, options in re.findall(
        r'<select name="([^"]+)".*?>(.*?)</select>', body, re.S
    ):
        chosen = re.findall(r'<option value="([^"]*)"[^>]*?selected', options)
        first = re.findall(r'<option value="([^"]*)"', options)
        found[name] = (chosen or first)[0]
    return found


def send(client, address, **typed):
    """Fill in the form of a page and send it; return the answer."""
    factories.forget_tenant()
    page = client.get(address)
    assert page.status_code == 200, (address, page.status_code)
    unknown = set(typed) - set(filled(page)) - {"later"}
    assert not unknown, unknown
    return client.post(address, filled(page) | typed)


def test_a_machine_comes_from_nothing_to_its_first_assessment(north):
    client = browser(north)

    owner = send(client, reverse("new-owner"), name="Weir", code="weir")
    building = send(
        client,
        owner["Location"],
        name="Weir House",
        code="weir-house",
        criteria_set="EN_81_20",
    )
    plate = send(
        client,
        building["Location"],
        code="WH-1",
        name="Weir House, lift",
        drive_kind="GEARED",
        rated_load_kg_0="630",
        rated_speed_m_s_0="1,0",
        installed_on="2020-01-15",
        said_by="PLATE",
    )
    sheave = send(
        client,
        plate["Location"],
        form="UNDERCUT",
        grooves_count="4",
        pitch_diameter_new_mm_0="23 5/8",
        pitch_diameter_new_mm_1="in",
        undercut_angle_deg="95",
        groove_angle_deg="0",
    )
    ropes = send(client, sheave["Location"], nominal_diameter_mm_0="12")
    loads = send(
        client,
        ropes["Location"],
        car_mass_kg_0="800",
        balance_ratio="0,5",
        travel_m_0="18",
        compensation_mass_kg_m="0",
        travelling_cable_mass_kg_m="0",
    )
    before = text(client.get(loads["Location"]))
    wrap = send(client, loads["Location"], wrap_angle_deg="170")
    page = client.get(wrap["Location"])
    diameter = next(n for n in filled(page) if n.startswith("r_rope_diameter_1"))
    diameter = diameter.rsplit("_", 1)[0]
    end = send(
        client,
        wrap["Location"],
        **{f"{diameter}_0": "11,9", "r_slip_seen": "no"},
    )

    assert "of " in before
    assert "checks are made" in before
    callers.confine(north)
    machine = Machine.objects.within(north.scope()).get(code="WH-1")
    assert end["Location"] == reverse("machine", args=(machine.pk,))
    assert machine.sources["rated_load_kg"] == "PLATE"
    assert machine.balance_ratio == 0.5
    sheave_row = Sheave.objects.within(north.scope()).get(machine=machine)
    assert sheave_row.pitch_diameter_new_mm == 600.075
    seats = RopeInGroove.objects.within(north.scope()).filter(
        rope__rope_set__machine=machine
    )
    assert [(s.rope.number, s.groove.number) for s in seats.order_by("rope")] == [
        (n, n) for n in (1, 2, 3, 4)
    ]
    readings = Reading.objects.within(north.scope()).filter(machine=machine)
    assert set(readings.values_list("kind", "typed_value", "typed_unit")) == {
        ("rope_diameter", "11.9", "mm"),
        ("slip_seen", "no", ""),
    }
    found = Assessment.objects.within(north.scope()).get(machine=machine)
    assert found.grade == "NOT_ASSESSED"
    assert found.checks["made"] >= 1
    assert "judged on" in text(client.get(end["Location"]))


def test_a_sister_lends_its_values_as_assumed_and_never_its_metal(north):
    client = browser(north)
    callers.confine(north)
    sister = factories.machine(north.scope(), "MH-1")
    building = sister.building_id

    answer = send(
        client,
        f"{reverse('new-machine')}?building={building}&sister={sister.pk}",
        code="MH-2",
        name="its sister",
        drive_kind="GEARED",
        rated_load_kg_0="900",
        said_by="PLATE",
    )

    callers.confine(north)
    machine = Machine.objects.within(north.scope()).get(code="MH-2")
    assert answer["Location"] == reverse("set-up-sheave", args=(machine.pk,))
    assert (machine.rated_load_kg, machine.car_mass_kg) == (900.0, sister.car_mass_kg)
    assert machine.sources["rated_load_kg"] == "PLATE"
    assert machine.sources["car_mass_kg"] == "ASSUMED"
    sheave = Sheave.objects.within(north.scope()).get(machine=machine)
    geometry = sheave.geometries.get()
    assert geometry.sources["form"] == "ASSUMED"
    assert geometry.hardened_depth_mm is None
    ropes = Rope.objects.within(north.scope()).filter(rope_set__machine=machine)
    assert ropes.count() == 5
    assert all(rope.seats.get().groove.sheave_id == sheave.pk for rope in ropes)
    assert not Reading.objects.within(north.scope()).filter(machine=machine).exists()


def test_a_reading_that_cannot_be_is_said_at_its_field_and_none_is_stored(north):
    client = browser(north)
    callers.confine(north)
    machine = factories.machine(north.scope(), "MH-1").pk
    address = reverse("set-up-readings", args=(machine,))

    answer = send(client, address, r_slip_seen="no", r_breaks_total_1_window_lay="-3")

    page = text(answer)
    assert answer.status_code == 400
    assert "must be 0 or more" in page
    assert 'value="-3"' in page
    callers.confine(north)
    assert not Reading.objects.within(north.scope()).filter(machine=machine).exists()


@pytest.mark.parametrize("step", ["plate", "sheave", "ropes", "loads", "wrap"])
def test_a_foreign_machine_is_absent_in_each_step(north, south, step):
    callers.confine(south)
    foreign = factories.machine(south.scope(), "MH-1").pk

    factories.forget_tenant()
    answer = browser(north).get(reverse(f"set-up-{step}", args=(foreign,)))

    assert answer.status_code == 404


def test_a_foreign_building_or_sister_is_no_choice(north, south):
    client = browser(north)
    callers.confine(south)
    foreign = factories.machine(south.scope(), "MH-1")

    answer = send(
        client,
        reverse("new-machine"),
        building=str(foreign.building_id),
        sister=str(foreign.pk),
        code="X-1",
        name="x",
        drive_kind="GEARED",
    )

    assert answer.status_code == 400
    assert text(answer).count("Select a valid choice") == 4


def test_whom_to_call_is_registered_and_offered(north):
    client = browser(north)
    callers.confine(north)
    owner = Owner.objects.within(north.scope()).get(code="mill").pk
    # Only who has just shown who they are changes what the company says of itself.
    assert client.get(reverse("contractor-page")).status_code == 302

    send(
        client,
        reverse("owner", args=(owner,)),
        responsible_person="the caretaker",
        telephone="+351 21 000",
    )

    callers.confine(north)
    row = Owner.objects.within(north.scope()).get(pk=owner)
    assert (row.responsible_person, row.telephone) == ("the caretaker", "+351 21 000")
