"""Grooves of pulleys are asked for, and give a date once they were read twice."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from fleet.models import Machine, Pulley
from inspections import assessment, forecasts, worklist
from inspections.models import Forecast
from tests import callers, factories

pytestmark = pytest.mark.django_db


def _send(cast, depths_mm, *, days, reference):
    readings = [
        {
            "kind": "pulley_groove_depth",
            "value": str(depth),
            "unit": "mm",
            "rope": None,
            "reference": f"{reference}-{n}",
            "place": {"pulley": "1", "pulley_groove": str(n)},
        }
        for n, depth in enumerate(depths_mm, 1)
    ]
    body = factories.upload(
        *readings,
        reference=reference,
        visited_at=(timezone.now() - timedelta(days=days)).isoformat(),
    )
    answer = callers.upload(cast, body)
    assert "refused" not in answer.json()["counts"], answer.content


def _hang(cast):
    callers.confine(cast)
    machine = factories.machine(cast.scope(), "MH-1")
    Machine.objects.filter(pk=machine.pk).update(wrap_angle_deg=160.0)
    for number in (1, 2):
        Pulley.objects.create(
            contractor=cast.contractor,
            machine=machine,
            number=number,
            kind="DEFLECTOR",
            diameter_mm=500.0,
            fitted_on=date(2010, 1, 1),
        )
    return machine


def _asked(cast, machine):
    found = worklist.worklist(
        scope=cast.scope(),
        machine_id=machine.pk,
        visit="RIM_SURVEY",
        minutes=600,
        as_of=timezone.now(),
    )
    return [
        (item.place["pulley"], item.place["pulley_groove"], item.reasons[0].why.name)
        for step in found.steps
        for item in step.items
        if item.kind == "pulley_groove_depth"
    ]


def test_every_groove_is_asked_for_and_read_twice_it_has_a_date(north):
    machine = _hang(north)
    never = _asked(north, machine)

    _send(north, (12.0, 12.0, 12.1, 12.0, 12.0), days=1500, reference="p-1")
    _send(north, (12.1, 12.2, 12.9, 12.2, 12.1), days=5, reference="p-2")
    callers.confine(north)
    now = timezone.now()
    for act in (assessment.assess, forecasts.project):
        act(scope=north.scope(), machine_ids=[machine.pk], as_of=now)
    rows = Forecast.objects.filter(machine=machine, quantity="pulley_groove_spread")
    [told] = rows

    assert {why for *_, why in never} == {"NEVER_READ"}
    assert {(p, g) for p, g, _ in never} == {(p, g) for p in "12" for g in "12345"}
    assert (told.place, told.limit) == ("pulley 1", pytest.approx(1.3))
    assert told.plan_before_on is not None
    assert told.plan_before_on > now.date()
    # The other one is still asked for; of the first nothing is said of never.
    later = _asked(north, machine)
    assert {why for p, _, why in later if p == "2"} == {"NEVER_READ"}
    assert "NEVER_READ" not in {why for p, _, why in later if p == "1"}
