"""Gauges: what they can be, and what an upload is told of them."""

from datetime import date

import pytest
from django.db import IntegrityError, transaction

from inspections.models import Gauge, Reading, ReadingState
from tests import callers, factories
from tests.inspections.api.upload_answers import GOOD, only_problem, outcomes

pytestmark = pytest.mark.django_db


def have(cast, **fields):
    callers.confine(cast)
    return Gauge.objects.create(
        contractor=cast.contractor, code="plate-1", name="plate calliper", **fields
    )


def send(cast, **reading):
    body = factories.upload(GOOD | {"gauge": "plate-1"} | reading)
    return callers.upload(cast, body)


@pytest.mark.parametrize("due", [date(2026, 5, 3), date(2020, 1, 1)])
def test_a_reading_with_an_overdue_gauge_is_taken_and_said_to_be_doubtful(north, due):
    have(north, calibration_due_on=due)

    answer = send(north)

    assert outcomes(answer) == ["stored"]
    warning = answer.json()["readings"][0]["warning"]
    assert f"gauge plate-1 was due for calibration on {due}" in warning


def test_a_reading_at_a_machine_retired_meanwhile_is_kept_and_said_to_be(north):
    have(north)
    machine = factories.machine(north.scope())
    machine.retired_on = date(2026, 5, 1)
    machine.save()

    answer = send(north)

    assert outcomes(answer) == ["stored"]
    warning = answer.json()["readings"][0]["warning"]
    assert "was retired on 2026-05-01; this is kept" in warning


def test_it_acts_or_is_held_as_it_would_be_otherwise(north):
    have(north, calibration_due_on=date(2020, 1, 1))

    thin = send(north, value="9", reference="thin")
    thick = send(north, value="15", reference="thick")

    for answer, said in ((thin, "measure again now"), (thick, "held")):
        warning = answer.json()["readings"][0]["warning"]
        assert said in warning
        assert "due for calibration" in warning
    callers.confine(north)
    states = dict(Reading.objects.values_list("reference", "state"))
    assert states == {"thin": ReadingState.UNCONFIRMED, "thick": ReadingState.HELD}


@pytest.mark.parametrize("due", [date(2026, 5, 4), None])
def test_nothing_is_said_of_a_gauge_in_time(north, due):
    have(north, calibration_due_on=due)

    [said] = send(north).json()["readings"]

    assert said["outcome"] == "stored"
    assert "calibration" not in said.get("warning", "")


def test_a_gauge_that_was_retired_before_takes_no_reading(north):
    have(north, retired_on=date(2026, 5, 4))

    problem = only_problem(send(north))

    assert (problem["code"], problem["pointer"]) == (
        "retired-gauge",
        "/visits/0/readings/0/gauge",
    )


@pytest.mark.parametrize("field", ["resolution_mm", "repeatability_mm"])
@pytest.mark.parametrize("value", [0, -0.01, 51, 1e300])
def test_a_gauge_cannot_be_finer_than_anything_or_coarser_than_a_tape(
    north, field, value
):
    body = {"code": "g", "name": "gauge", field: value}
    sent = callers.call(north, "POST", "/api/v1/gauges", body)
    file = callers.call(
        north,
        "POST",
        "/api/v1/imports/gauges?dry_run=false",
        raw=f"code,name,{field}\ng,gauge,{value:f}\n".encode(),
        content_type="text/csv",
    )

    assert sent.status_code in (400, 422), sent.content
    assert callers.is_problem(file, 422, "rows-refused")
    callers.confine(north)
    assert not Gauge.objects.exists()


def test_the_database_refuses_it_too(north):
    with pytest.raises(IntegrityError), transaction.atomic():
        have(north, repeatability_mm=float("nan"))
