"""A stop by a mass that was read rests on that reading, and falls with it."""

import pytest

from fleet.models import SheaveGeometry
from inspections.models import Finding, Reading
from inspections.reasons import Topic
from tests import callers
from tests.inspections.stops.conftest import ask, machine, mark_competent, stops

pytestmark = pytest.mark.django_db

LITTLE = {"kind": "balance_load", "rope": None, "value": "0.02", "unit": "1"}
WHY = "weighed with the wrong weights"


def seats():
    flanks = [
        {
            "kind": "seat_band_width",
            "rope": None,
            "groove": n,
            "value": "4.0",
            "unit": "mm",
            "place": {"flank": flank},
        }
        for n in range(1, 6)
        for flank in ("left", "right")
    ]
    ropes = [
        {
            "rope": n,
            "value": "13.0",
            "unit": "mm",
            "place": {"direction": way, "station": "middle"},
        }
        for n in range(1, 6)
        for way in ("1", "2")
    ]
    return [*flanks, *ropes]


@pytest.fixture
def worn(north, read, assess):
    """A V worn so far that it holds by the masses as registered."""
    mark_competent(north)
    SheaveGeometry.objects.filter(sheave__machine=machine(north)).update(
        form="V",
        groove_angle_deg=38.0,
        undercut_angle_deg=None,
        bottom_clearance_new_mm=None,
        seat_radius_mm=None,
        flat_bottom_width_mm=5.0,
        hardened_depth_mm=5.0,
    )
    read(*seats())
    assess()
    assert not stops(north)


def balance():
    return list(Reading.objects.filter(kind="balance_load").order_by("pk"))


def findings(cast):
    callers.confine(cast)
    rows = Finding.objects.filter(current=True, topic=Topic.TRACTION)
    return list(rows.filter(machine=machine(cast)))


def test_its_reading_is_told_at_once_and_is_of_its_evidence(north, worn, read, assess):
    answer = read(LITTLE, at="2026-05-04T12:00:00+01:00")
    assess()

    assert answer["readings"][0]["stop"]
    [weighed] = balance()
    assert len(stops(north)) == 5
    assert all(weighed.pk in each.readings for each in stops(north))
    assert all(each.unconfirmed for each in findings(north))


def test_it_is_refuted_by_setting_aside_the_reading_of_the_mass(
    north, worn, read, assess
):
    read(LITTLE, at="2026-05-04T12:00:00+01:00")
    assess()
    [weighed] = balance()
    body = {"why": WHY, "set_aside": [weighed.pk]}

    for each in stops(north):
        answer = ask(north, each, "refute", body)
        assert answer.status_code == 200, answer.content
        callers.confine(north)
    assess()

    assert not any(each.is_open for each in stops(north))
    # What was read of the seats counts as before.
    assert {each.grade for each in findings(north)} == {"IN_ORDER"}
    assert not any(each.unconfirmed for each in findings(north))


def test_it_stays_when_its_reading_is_set_aside_and_nothing_says_so_any_more(
    north, worn, read, assess
):
    read(LITTLE, at="2026-05-04T12:00:00+01:00")
    assess()

    path = f"/api/v1/readings/{balance()[0].pk}/review"
    callers.call(north, "POST", path, {"accepted": False, "why": WHY})
    assess()

    assert {each.stops_service for each in findings(north)} == {False}
    assert all(each.is_open for each in stops(north))
