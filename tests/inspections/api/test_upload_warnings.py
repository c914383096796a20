"""Holding is one-sided, and what stops a machine is said at once."""

import pytest

from inspections.models import Reading, ReadingState
from tests import callers, factories
from tests.inspections.api.upload_answers import GOOD, outcomes

pytestmark = pytest.mark.django_db


# --- holding and the stop path --------------------------------------------------------
@pytest.mark.parametrize(
    ("value", "outcome", "state"),
    [
        # 13 mm ropes: 0.85 d is 11.05 mm, 1.08 d is 14.04 mm (common practice).
        ("11.06", "stored", ReadingState.STORED),
        ("11.05", "stored", ReadingState.UNCONFIRMED),
        ("9", "stored", ReadingState.UNCONFIRMED),
        ("14.04", "stored", ReadingState.STORED),
        ("14.05", "held", ReadingState.HELD),
    ],
)
def test_only_the_implausibly_good_is_held(north, value, outcome, state):
    answer = callers.upload(north, factories.upload({"value": value, "unit": "mm"}))

    assert outcomes(answer) == [outcome]
    [entry] = answer.json()["readings"]
    assert ("warning" in entry) == (state != ReadingState.STORED)
    assert ("measure again" in entry.get("warning", "")) == (
        state == ReadingState.UNCONFIRMED
    )
    callers.confine(north)
    assert Reading.objects.get().state == state


@pytest.mark.parametrize(
    "reading",
    [
        {"kind": "slip_seen", "value": "yes", "unit": None},
        {"kind": "brake_slide_seen", "value": "yes", "unit": None},
        {"kind": "check", "value": "defect", "unit": "", "place": {"part": "crack"}},
        {"kind": "bottom_clearance", "value": "0", "unit": "mm", "groove": 1},
        {"kind": "bottom_clearance", "value": "-1/8", "unit": "in", "groove": 1},
    ],
)
def test_what_stops_a_machine_is_said_at_once_and_again_on_a_repeat(north, reading):
    body = factories.upload({"rope": None} | reading, GOOD)

    first, second = callers.upload(north, body), callers.upload(north, body)

    for answer in (first, second):
        assert "out of service" in answer.json()["stop"]
        assert "licensed inspector" in answer.json()["readings"][0]["stop"]
        assert "stop" not in answer.json()["readings"][1]
    assert outcomes(second) == ["already-stored", "already-stored"]


def test_a_stop_that_clashes_with_a_stored_reference_is_said_all_the_same(north):
    seen = {"kind": "slip_seen", "rope": None, "unit": None}
    callers.upload(north, factories.upload(seen | {"value": "no"}))

    answer = callers.upload(north, factories.upload(seen | {"value": "yes"}))

    assert outcomes(answer) == ["conflict"]
    assert "out of service" in answer.json()["stop"]


def test_a_quiet_word_does_not_stop(north):
    seen = {"kind": "slip_seen", "rope": None, "unit": None, "value": "no"}

    answer = callers.upload(north, factories.upload(seen))

    assert outcomes(answer) == ["stored"]
    assert "stop" not in answer.json()
