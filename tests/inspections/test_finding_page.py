"""A verdict opened line by line: stalled cases, and masses that nobody registered."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from inspections import assessment
from inspections.models import Finding
from tests import callers, factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def opened():
    """The page of the traction of a groove, of a machine of which no mass is known."""
    cast = factories.cast(code="north")
    machine = factories.machine(cast.scope(), "MH-1")
    type(machine).objects.filter(pk=machine.pk).update(
        car_mass_kg=None, balance_ratio=None
    )
    read = [
        {
            "reference": f"{kind}-{n}",
            "kind": kind,
            where: n,
            "value": value,
            "unit": "mm",
        }
        for n in range(1, 6)
        for kind, where, value in (
            ("bottom_clearance", "groove", "2.30"),
            ("rope_diameter", "rope", "12.90"),
        )
    ]
    at = timezone.now() - timedelta(hours=3)
    answer = callers.upload(cast, factories.upload(*read, visited_at=at.isoformat()))
    assert answer.status_code == 207
    callers.confine(cast)
    assessment.assess(
        scope=cast.scope(), machine_ids=[machine.pk], as_of=timezone.now()
    )
    [finding, *_] = Finding.objects.filter(
        machine=machine, current=True, topic="traction"
    ).order_by("pk")
    client = Client()
    client.force_login(cast.memberships["OFFICE"].person)
    html = client.get(f"/findings/{finding.pk}").content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def test_traction_of_unknown_masses_opens_case_by_case_with_the_range_of_each(opened):
    cases = (
        "Emergency braking, empty car",
        "Loading",
        "Emergency braking, full car",
        "Counterweight landed, car still hanging",
        "Car landed, counterweight still hanging",
    )
    parts = [opened.index(f"{name} Greater force in all ropes T₁ =") for name in cases]

    assert parts == sorted(parts)
    # What nobody registered stands with its range in every formula that takes it.
    ranges = re.findall(r"mass of the empty car – assumed, (\d+ … \d+)", opened)
    assert len(ranges) >= len(cases)
    assert len(set(ranges)) == 1
    assert re.search(r"the margin lies between -0\.\d+ and \+0\.\d+", opened)
    assert "it depends on what is not known" in opened


def test_a_stalled_case_is_worked_out_the_other_way_round(opened):
    stalled = opened[opened.index("Counterweight landed, car still hanging Greater") :]
    [part, used, margin] = re.search(
        r"m = (u) − 1 m = ([\d.]+) − 1 = ([\d.]+)", stalled
    ).groups()

    # There the ropes must slip: more than all of the friction is to be used.
    assert part == "u"
    assert float(used) - 1.0 == pytest.approx(float(margin), abs=1e-3)
    assert float(used) > 1.0


def test_what_is_not_known_stands_with_its_unit_and_its_source(opened):
    listed = opened[opened.index("What is not known exactly") :]

    assert re.search(r"empty car: \d+ kg … \d+ kg, usually \d+ kg \(practice", listed)
    assert re.search(r"the angle of wrap: [\d.]+ ° … [\d.]+ °", listed)
    assert re.search(r"the balance: 0[.\d]+ … 0[.\d]+, usually 0[.\d]+ \(", listed)
