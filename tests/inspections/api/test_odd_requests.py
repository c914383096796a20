"""Odd times, units, filters and fields at the doors of the readings, row by row."""

import re
from datetime import UTC, datetime, timedelta, timezone
from fractions import Fraction
from urllib.parse import quote
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.models import Building, Machine
from fleet.platform import units
from fleet.platform.api import pagination
from inspections.intake import fields
from inspections.intake.problems import RefusedReading
from inspections.models import Reading
from tests import callers, factories
from tests.inspections.api.upload_answers import GOOD, only_problem, outcomes

pytestmark = pytest.mark.django_db

offsets = st.integers(-15 * 60, 15 * 60).map(lambda m: timezone(timedelta(minutes=m)))
moments = st.datetimes(
    datetime(1950, 1, 3),  # noqa: DTZ001 (hypothesis takes naive ends)
    datetime(2200, 1, 1),  # noqa: DTZ001
    timezones=offsets,
)


# --- fault 13 -------------------------------------------------------------------------
@given(moments)
def test_any_time_with_its_offset_is_the_instant_that_it_names(moment):
    # Faults 13 and 15.
    assert fields.moment(moment.isoformat(), pointer="/x") == moment


@given(moments)
def test_any_time_without_its_offset_is_refused(moment):
    # Fault 14.
    with pytest.raises(RefusedReading) as refused:
        fields.moment(moment.replace(tzinfo=None).isoformat(), pointer="/x")

    assert refused.value.code == "offset-missing"


@pytest.mark.parametrize("ahead", [timedelta(minutes=4), timedelta(minutes=6)])
def test_a_reading_of_the_future_is_taken_within_five_minutes_only(north, ahead):
    # Fault 13.
    at = (datetime.now(tz=UTC) + ahead).isoformat()

    answer = callers.upload(north, factories.upload(GOOD, visited_at=at))

    if ahead < timedelta(minutes=5):
        assert outcomes(answer) == ["stored"]
    else:
        assert only_problem(answer)["code"] == "in-the-future"


def test_a_reading_from_before_its_part_was_fitted_is_refused_and_not_moved(north):
    # Fault 13: a telephone whose clock stands at its maker's day.
    at = "1970-01-01T00:00:00+00:00"

    answer = callers.upload(north, factories.upload(GOOD, visited_at=at))

    assert only_problem(answer)["code"] == "no-part"
    assert "1970-01-01" in only_problem(answer)["detail"]


# --- fault 14 -------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("zone", "local", "before", "after"),
    [
        # The hour that is missing and the one that is there twice, in each hemisphere.
        ("Europe/Lisbon", "2026-03-29T01:30:00", "+00:00", "+01:00"),
        ("Europe/Lisbon", "2025-10-26T01:30:00", "+01:00", "+00:00"),
        ("Australia/Sydney", "2025-10-05T02:30:00", "+10:00", "+11:00"),
        ("Australia/Sydney", "2026-04-05T02:30:00", "+11:00", "+10:00"),
    ],
)
def test_around_a_change_of_the_clock_only_the_offset_tells_the_instant(
    north, zone, local, before, after
):
    # Fault 14.
    callers.confine(north)
    Building.objects.filter(code="mill-house").update(time_zone=zone)

    naive = callers.upload(north, factories.upload(GOOD, visited_at=local))
    both = callers.upload(
        north,
        factories.upload(
            GOOD | {"reference": "r-a", "taken_at": local + before},
            GOOD | {"reference": "r-b", "taken_at": local + after},
            visited_at=local + before,
        ),
    )

    assert only_problem(naive)["code"] == "offset-missing"
    assert outcomes(both) == ["stored", "stored"]
    callers.confine(north)
    a, b = Reading.objects.order_by("reference")
    assert abs(a.taken_at - b.taken_at) == timedelta(hours=1)
    assert a.taken_at.astimezone(ZoneInfo(zone)).date().isoformat() == local[:10]


# --- faults 17 and 19 -----------------------------------------------------------------
@given(
    st.sampled_from(sorted(units.QUANTITIES)),
    st.data(),
    st.from_regex(re.compile(r"[0-9]{1,9}(\.[0-9]{1,9})?"), fullmatch=True),
)
def test_any_value_in_any_unit_becomes_the_nearest_float_and_stays_finite(
    quantity, data, text
):
    # Fault 19: never inf, never off by a chain of factors.
    unit = data.draw(st.sampled_from(sorted(units.QUANTITIES[quantity].units)))

    found = units.to_canonical(text=text, unit=unit, quantity=quantity)

    exact = Fraction(text) * units.factor(quantity=quantity, unit=unit)
    assert found == float(exact)
    assert abs(found) < float("inf")


@pytest.mark.parametrize("value", ["9" * 39, "1e308", "9" * 13 + ".5"])
@pytest.mark.parametrize("unit", ["m", "ft", "mm"])
def test_a_length_of_light_years_is_refused(north, value, unit):
    # Faults 19 and 23.
    answer = callers.upload(north, factories.upload({"value": value, "unit": unit}))

    assert only_problem(answer)["pointer"] == "/visits/0/readings/0/value"


@pytest.mark.parametrize("unit", ["thou", "mil", "kip", "t", "inch", '"', "Mm", "MM"])
def test_a_unit_outside_the_list_is_refused_with_what_is_taken(north, unit):
    # Fault 17.
    answer = callers.upload(north, factories.upload({"value": "11.8", "unit": unit}))

    problem = only_problem(answer)
    assert problem["code"] in ("unknown-unit", "wrong-dimension")
    assert "mm" in problem["detail"]
    assert "in" in problem["detail"]


def test_what_was_typed_is_kept_beside_what_it_means(north):
    # Fault 17.
    answer = callers.upload(north, factories.upload({"value": "29/64", "unit": "in"}))

    assert outcomes(answer) == ["stored"]
    [row] = callers.call(north, "GET", "/api/v1/readings").json()["results"]
    assert (row["typed_value"], row["typed_unit"]) == ("29/64", "in")
    assert row["canonical"] == {
        "value": float(Fraction(29, 64) * Fraction("25.4")),
        "unit": "mm",
    }


def test_half_a_millimetre_of_rope_asks_for_another_look_and_is_not_called_inches(
    north,
):
    # Fault 17: taken as typed, on the unsafe side, to be measured again.
    answer = callers.upload(north, factories.upload({"value": "0.5", "unit": "mm"}))

    assert "measure again" in answer.json()["readings"][0]["warning"]
    callers.confine(north)
    assert Reading.objects.get().value == 0.5


# --- faults 28 to 31 ------------------------------------------------------------------
@pytest.mark.parametrize("size", ["1000000000", "501", "9" * 30])
def test_a_page_is_never_larger_than_the_largest(north, size):
    # Fault 28: clamped, as the description says.
    many = [GOOD | {"reference": f"m-{n}"} for n in range(pagination.MAX_SIZE + 20)]
    callers.upload(north, factories.upload(*many))

    answer = callers.call(north, "GET", f"/api/v1/readings?page_size={size}")

    assert len(answer.json()["results"]) == pagination.MAX_SIZE


INJECTIONS = (
    "' OR '1'='1",
    "'; DELETE FROM inspections_reading; --",
    "x') UNION SELECT password FROM fleet_person --",
    "%' OR pg_sleep(5) --",
    "$1",
    "{}",
)


@pytest.mark.parametrize("text", INJECTIONS)
def test_sql_in_a_filter_or_a_search_is_a_text(north, text):
    # Fault 31.
    callers.upload(north, factories.upload(GOOD))

    for query in (f"code={quote(text)}", f"search={quote(text)}"):
        answer = callers.call(north, "GET", f"/api/v1/machines?{query}")
        assert answer.status_code == 200, answer.content
        assert answer.json()["results"] == []
    for query in (f"kind={quote(text)}", f"machine={quote(text)}"):
        answer = callers.call(north, "GET", f"/api/v1/readings?{query}")
        assert answer.status_code in (200, 400), answer.content
        assert answer.json().get("results", []) == []
    callers.confine(north)
    assert Reading.objects.count() == 1


@pytest.mark.parametrize("text", INJECTIONS)
def test_sql_in_a_reading_is_a_text(north, text):
    # Fault 31.
    answer = callers.upload(north, factories.upload(GOOD | {"note": text}))

    assert outcomes(answer) == ["stored"]
    callers.confine(north)
    assert Reading.objects.get().note == text
    assert Machine.objects.count() == 2


# --- fault 38 -------------------------------------------------------------------------
def test_the_writable_fields_of_gauges_works_and_reports_are_these():
    # Fault 38: a new column is not writable by accident.
    from inspections.api import serializers as of_inspections
    from reports.api import serializers as of_reports

    def writable(serializer):
        return {n for n, f in serializer().fields.items() if not f.read_only}

    assert writable(of_inspections.GaugeSerializer) == {
        "code", "name", "resolution_mm", "repeatability_mm", "calibration_due_on",
        "checked_on", "retired_on",
    }  # fmt: skip
    assert writable(of_reports.ReportPlanSerializer) == {
        "owner", "building", "recurrence", "first_month", "day_of_month", "hour",
        "time_zone", "language", "unit_family", "paper", "recipients", "needs_release",
        "state",
    }  # fmt: skip


@pytest.mark.parametrize(
    "field", ["contractor", "membership_id", "received_at", "state"]
)
def test_a_visit_or_reading_cannot_say_what_the_server_says(north, field):
    # Fault 38.
    reading = callers.upload(north, factories.upload(GOOD | {field: 1}))
    visit = callers.upload(north, factories.upload(GOOD, **{field: 1}))

    for answer, place in ((reading, "/visits/0/readings/0"), (visit, "/visits/0")):
        problem = only_problem(answer)
        assert (problem["code"], problem["pointer"]) == (
            "unknown-field",
            f"{place}/{field}",
        )


# --- fault 34 -------------------------------------------------------------------------
def test_a_machine_of_another_contractor_is_as_absent_in_a_file_as_no_machine(
    north, south
):
    # Fault 34: same words, whether the code is another contractor's or nobody's.
    callers.confine(south)
    Machine.objects.filter(code="MH-1").update(code="TH-9")
    header = "machine,visited_on,kind,rope,value [mm]\n"

    def told(code):
        text = f"{header}{code},2026-05-04,rope_diameter,1,12.8\n"
        answer = callers.call(
            north,
            "POST",
            "/api/v1/uploads",
            raw=text.encode(),
            content_type="text/csv",
        )
        [entry] = answer.json()["readings"]
        return entry["outcome"], entry["problem"]["detail"].replace(code, "")

    assert told("TH-9") == told("NO-9")
    assert told("TH-9")[0] == "refused"
