"""Times of an upload: read as the instant they name, or refused."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from inspections.intake import fields
from inspections.intake.problems import RefusedReading

OFFSETS = st.integers(-14 * 60, 14 * 60).map(
    lambda minutes: timezone(timedelta(minutes=minutes))
)


# Faults 14 and 15.
@given(
    st.datetimes(datetime(1951, 1, 1), datetime(2199, 12, 31), timezones=OFFSETS)  # noqa: DTZ001
)
def test_a_time_with_its_offset_is_the_instant_it_names(given_at):
    found = fields.moment(given_at.isoformat(), pointer="/at")

    assert found == given_at
    assert found.tzinfo is UTC


@given(st.text(max_size=40))
@example("2026-02-30T10:00:00Z")
@example("0001-01-01T00:00:00+00:00")
@example("2026-03-31T10:00:00")
@example("٢٠٢٦-03-31T10:00:00Z")
@example("2026-03-31T10:00:00+99:00")
def test_any_other_text_is_refused_at_its_place(text):
    try:
        found = fields.moment(text, pointer="/at")
    except RefusedReading as refused:
        pointer, year = refused.pointer, None
    else:
        pointer, year = None, found.year

    assert pointer == "/at" or (year is not None and 1949 <= year <= 2201)


@pytest.mark.parametrize("value", [None, 0, 1.5, True, [], {}, b"2026-03-31"])
def test_what_is_no_text_is_no_time(value):
    with pytest.raises(RefusedReading):
        fields.moment(value, pointer="/at")
