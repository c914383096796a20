"""Whatever JSON comes, an upload is understood or refused in words."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.platform.errors import DomainError
from inspections.intake import fields
from inspections.intake.decode import decode
from inspections.intake.problems import RefusedReading
from inspections.intake.understood import NewReading, NotUnderstood
from inspections.kinds import KINDS
from tests import factories

anything = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=10)
    | st.sampled_from(["11.8", "mm", "MH-1", "2026-05-04T10:00:00+01:00"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=6,
)
NAMES = ["reference", "kind", "groove", "rope", "place", "value", "unit", "taken_at",
         "gauge", "note", "corrects", "colour"]  # fmt: skip
OPTIONAL = sorted(set(NAMES) - {"reference", "kind", "value", "unit"})
VISIT_NAMES = ("reference", "machine", "kind", "visited_at", "note", "work")
reading = st.dictionaries(st.sampled_from(NAMES), anything) | st.fixed_dictionaries(
    {
        "reference": st.just("r"),
        "kind": st.sampled_from(sorted(KINDS)),
        "value": anything,
        "unit": anything,
    },
    optional=dict.fromkeys(OPTIONAL, anything),
)
visit = st.fixed_dictionaries(
    {"readings": st.lists(reading | anything, max_size=3)},
    optional=dict.fromkeys(VISIT_NAMES, anything),
)


@given(anything)
def test_any_json_is_an_upload_or_refused(body):
    refused = ""
    try:
        decode(body=body, most=100)
    except DomainError as error:
        refused = error.detail
    else:
        return

    assert refused


@given(st.lists(visit, max_size=3))
def test_any_reading_is_understood_or_has_a_problem_with_a_pointer(visits):
    found = decode(body={"visits": visits}, most=100)

    count = 0
    for number, (sent, understood) in enumerate(zip(visits, found.visits, strict=True)):
        assert len(understood.readings) == len(sent["readings"])
        for entry in understood.readings:
            assert entry.index == count
            count += 1
            if isinstance(entry, NotUnderstood):
                assert entry.problem.pointer.startswith(f"/visits/{number}")
                assert entry.problem.detail
                assert len(entry.problem.detail) < 400
            else:
                assert isinstance(entry, NewReading)
                assert (entry.value is None) == bool(entry.word)
    assert found.readings_count == count


def test_a_reading_takes_its_visits_time_unless_it_has_its_own():
    own = "2026-05-04T08:30:00-03:00"
    body = factories.upload(
        {"value": "11.8", "unit": "mm"},
        {"value": "11.8", "unit": "mm", "taken_at": own},
    )

    [found] = decode(body=body, most=10).visits

    assert [entry.taken_at for entry in found.readings] == [
        datetime(2026, 5, 4, 9, 0, tzinfo=UTC),
        datetime(2026, 5, 4, 11, 30, tzinfo=UTC),
    ]


@given(st.text(max_size=30) | anything)
def test_a_moment_is_an_instant_or_refused(value):
    try:
        found = fields.moment(value, pointer="/x")
    except RefusedReading:
        return

    assert found.tzinfo is UTC
    assert 1949 <= found.year <= 2201


@pytest.mark.parametrize(
    ("name", "step"), [("a", "a"), ("a/b", "a~1b"), ("~", "~0"), ("~1", "~01")]
)
def test_a_key_becomes_one_step_of_a_pointer(name, step):
    # RFC 6901, 3: ~ is written ~0 and / is written ~1.
    assert fields.step(name) == step
