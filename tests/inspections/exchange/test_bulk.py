"""Old readings as offices have them: what is taken, what is said, at which row."""

from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleet.models import Job
from fleet.register.exchange.problems import NotATable, TooManyRows
from inspections.exchange import batches, reading_columns
from inspections.exchange.rows import UploadLine
from inspections.models import Reading, ReadingState, Upload, Visit
from tests import callers
from tests.inspections.exchange import bulk
from tests.inspections.exchange.bulk import said

pytestmark = pytest.mark.django_db

HEADER = "machine,visited_on,kind,rope,groove,value,unit\n"


@pytest.fixture
def scope(north):
    callers.confine(north)
    return north.scope()


def test_a_european_heap_is_read_as_declared(scope):
    # Faults 18 and 26: BOM, semicolon, decimal comma, day.month.year.
    text = (
        "machine;visited_on;kind;rope;value [mm]\r\n"
        "MH-1;4.5.2024;rope_diameter;1;12,85\r\n"
        "MH-1;4.5.2024;rouge;1;none\r\n"
    )

    outcome = bulk.bring_in(
        scope,
        text,
        delimiter=";",
        decimal_mark=",",
        encoding="utf-8-sig",
        dates="DD.MM.YYYY",
    )

    assert outcome.errors == ()
    assert outcome.counts == {"stored": 2}
    number, word = Reading.objects.order_by("kind")
    assert (number.typed_value, number.typed_unit, number.value) == (
        "12.85",
        "mm",
        12.85,
    )
    assert (word.word, word.typed_unit) == ("none", "")
    # Noon in Lisbon, in summer.
    assert number.taken_at == datetime(2024, 5, 4, 11, 0, tzinfo=UTC)
    assert Visit.objects.count() == 1


def test_every_reading_keeps_its_own_unit(scope):
    # Fault 17.
    text = HEADER + (
        "MH-1,2024-05-04,rope_diameter,1,,29/64,in\n"
        "MH-1,2024-05-04,bottom_clearance,,2,2.5,mm\n"
        "MH-1,2024-05-04,trip_counter,,,120500,1\n"
    )

    outcome = bulk.bring_in(scope, text)

    assert outcome.errors == ()
    stored = dict(Reading.objects.values_list("kind", "value"))
    assert stored["rope_diameter"] == pytest.approx(29 / 64 * 25.4)
    assert stored["bottom_clearance"] == 2.5


def test_all_faults_of_all_rows_are_said_and_nothing_is_stored(scope):
    # Faults 16 to 18.
    text = HEADER + (
        "MH-1,2024-05-04,rope_diameter,1,,12.8,mm\n"
        "MH-1,2024-05-04,rope_diameter,2,,12.8,\n"
        "MH-1,2024-05-04,rope_diameter,3,,12.8,stone\n"
        'MH-1,2024-05-04,rope_diameter,4,,"12,8",mm\n'
        "MH-1,2024-05-04,rope_diameter,99,,12.8,mm\n"
        "MH-1,2024-05-04,rope_width,1,,12.8,mm\n"
        "XX-9,2024-05-04,rope_diameter,1,,12.8,mm\n"
        "MH-1,04.05.2024,rope_diameter,1,,12.8,mm\n"
        "MH-1,2094-05-04,rope_diameter,1,,12.8,mm\n"
        "MH-1,2024-05-04,,1,,,\n"
        "MH-1,2024-05-04,seat_band_width,,1,3,mm\n"
        "MH-1,2024-05-04,rope_diameter,1,,NaN,mm\n"
    )

    outcome = bulk.bring_in(scope, text)

    assert said(outcome) == [
        (3, "unit", "unit-missing"),
        (4, "unit", "unknown-unit"),
        (5, "value", "unreadable-number"),
        (6, "rope", "no-part"),
        (7, "kind", "unknown-kind"),
        (8, "machine", "unknown-machine"),
        (9, "visited_on", "not-a-date"),
        (10, "visited_on", "in-the-future"),
        (11, "rope", "missing"),
        (12, "flank", "place-missing"),
        (13, "value", "unreadable-number"),
    ]
    assert not outcome.stored
    assert not Reading.objects.exists()
    assert not Visit.objects.exists()
    assert not Upload.objects.exists()
    assert not Job.objects.exists()


@pytest.mark.parametrize(
    ("header", "errors"),
    [
        (
            "machine,kind,visited_on,value [stone]",
            [(1, "value [stone]", "unknown-unit")],
        ),
        ("machine,kind,visited_on,value [mm],unit", [(1, "value [mm]", "unit-twice")]),
        (
            "kind,value",
            [(1, "machine", "column-missing"), (1, "visited_at", "column-missing")],
        ),
        ("machine,kind,visited_on,state", [(1, "state", "unknown-column")]),
        ("machine,kind,visited_on,axial", [(1, "axial", "unit-missing")]),
    ],
)
def test_what_is_wrong_with_the_header_is_said(scope, header, errors):
    # Faults 17 and 38.
    assert said(bulk.bring_in(scope, header + "\n")) == errors


def test_a_dry_run_says_all_and_stores_nothing(scope):
    text = HEADER + (
        "MH-1,2024-05-04,rope_diameter,1,,12.8,mm\n"
        "MH-1,2024-05-04,rope_diameter,2,,128,mm\n"
        "MH-1,2024-05-04,bottom_clearance,,1,0,mm\n"
    )

    outcome = bulk.bring_in(scope, text, dry_run=True)

    assert outcome.counts == {"stored": 2, "held": 1}
    held, stopped = outcome.notices
    assert (held.row, held.outcome) == (3, "held")
    assert stopped.row == 4
    assert "out of service" in stopped.stop
    assert outcome.as_json()["stop"] == stopped.stop
    assert not outcome.stored
    assert not Upload.objects.exists()


def test_holding_is_the_uploads_own(scope):
    text = HEADER + "MH-1,2024-05-04,rope_diameter,2,,128,mm\n"

    outcome = bulk.bring_in(scope, text)

    assert outcome.stored
    assert Reading.objects.get().state == ReadingState.HELD


def test_the_same_rows_again_store_nothing_and_another_value_is_told(scope):
    rows = "MH-1,2024-05-04,rope_diameter,1,,{},mm\n"

    first = bulk.bring_in(scope, HEADER + rows.format("12.8"))
    again = bulk.bring_in(scope, HEADER + rows.format("12.8"))
    other = bulk.bring_in(scope, HEADER + rows.format("12.5"))

    assert (first.counts, again.counts) == ({"stored": 1}, {"already-stored": 1})
    assert said(other) == [(2, "reference", "reference-reused")]
    assert "stored with another value" in other.errors[0].detail
    assert Reading.objects.get().value == 12.8


def test_two_readings_at_one_place_are_two(scope):
    row = "MH-1,2024-05-04,rope_diameter,1,,12.8,mm\n"

    first, again = (
        bulk.bring_in(scope, HEADER + row * 2),
        bulk.bring_in(scope, HEADER + row * 2),
    )

    assert (first.counts, again.counts) == ({"stored": 2}, {"already-stored": 2})


def test_a_visit_told_in_two_ways_is_an_error(scope):
    text = (
        "machine,visit,visited_on,visit_note,kind,rope,value,unit\n"
        "MH-1,v1,2024-05-04,one,rope_diameter,1,12.8,mm\n"
        "MH-1,v1,2024-05-04,two,rope_diameter,2,12.8,mm\n"
    )

    assert said(bulk.bring_in(scope, text)) == [(3, "visit", "told-twice")]


def test_a_time_and_a_day_are_not_both_taken(scope):
    text = (
        "machine,visited_at,visited_on,kind,rope,value,unit\n"
        "MH-1,2024-05-04T10:00:00Z,2024-05-04,rope_diameter,1,12.8,mm\n"
        "MH-1,,,rope_diameter,1,12.8,mm\n"
        "MH-1,2024-05-04T10:00:00,,rope_diameter,1,12.8,mm\n"
    )

    assert said(bulk.bring_in(scope, text)) == [
        (2, "visited_at", "missing"),
        (3, "visited_at", "missing"),
        (4, "visited_at", "offset-missing"),
    ]


def test_corrections_in_a_ring_are_refused(scope):
    text = (
        "machine,visited_on,reference,kind,rope,value,unit,note,corrects\n"
        "MH-1,2024-05-04,a,rope_diameter,1,12.8,mm,why,b\n"
        "MH-1,2024-05-04,b,rope_diameter,1,12.8,mm,why,a\n"
        "MH-1,2024-05-04,c,rope_diameter,1,12.8,mm,,nothing\n"
    )

    assert said(bulk.bring_in(scope, text)) == [
        (2, "corrects", "cannot-correct"),
        (3, "corrects", "cannot-correct"),
        (4, "corrects", "cannot-correct"),
    ]


def test_a_machine_of_another_contractor_is_unknown(north, south):
    from fleet.models import Machine

    callers.confine(south)
    Machine.objects.filter(code="MH-1").update(code="SOUTH-1")
    text = HEADER + "SOUTH-1,2024-05-04,rope_diameter,1,,12.8,mm\n"

    assert said(bulk.bring_in(north.scope(), text)) == [
        (2, "machine", "unknown-machine")
    ]


def test_a_heap_is_sent_in_uploads_of_no_more_than_are_taken_at_once(scope):
    text = HEADER + "".join(
        f"MH-1,2024-05-{day:02},rope_diameter,{rope},,12.8,mm\n"
        for day in (4, 5, 6)
        for rope in (1, 2, 3)
    )

    outcome = bulk.bring_in(scope, text, most_at_once=6)

    assert outcome.counts == {"stored": 9}
    assert Upload.objects.count() == 2
    with pytest.raises(TooManyRows):
        bulk.bring_in(scope, text, most_at_once=2)


def test_utf_16_is_refused_with_the_reason(scope):
    # Fault 26.
    with pytest.raises(NotATable, match="mark of UTF-16"):
        bulk.bring_in(scope, HEADER.encode("utf-16"))


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    note=st.text(
        st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=60
    ),
    place=st.text(
        st.characters(exclude_categories=["Cs"], exclude_characters="\0"),
        min_size=1,
        max_size=20,
    ),
    value=st.from_regex(r"\A([1-9][0-9]{0,2}(\.[0-9]{1,4})?|[1-9] [1-9]/64)\Z"),
    unit=st.sampled_from(["mm", "in", "cm"]),
)
def test_any_reading_that_is_stored_comes_back(scope, note, place, value, unit):
    # Fault 53.
    from inspections import intake
    from tests import factories

    reference = f"h-{Reading.objects.count()}"
    body = factories.upload(
        {
            "reference": reference,
            "note": note,
            "place": {"station": place},
            "value": value,
            "unit": unit,
        },
        reference=f"v-{reference}",
    )
    intake.accept(
        scope=scope,
        body=body,
        fingerprint="0" * 64,
        key=None,
        received_at=bulk.RECEIVED_AT,
        most=10,
    )

    outcome = bulk.bring_in(scope, bulk.take_out(scope))

    assert outcome.errors == ()
    assert outcome.counts == {"already-stored": Reading.objects.count()}


def test_a_chain_of_corrections_takes_its_turns():
    lines = [
        UploadLine(
            row=n, visit={"reference": "v"}, reading={"reference": r, "corrects": c}
        )
        for n, (r, c) in enumerate([("c", "b"), ("b", "a"), ("a", ""), ("d", "old")])
    ]

    turns, ring = batches.waves(lines=lines)

    assert [[line.reference for line in turn] for turn in turns] == [
        ["a", "d"],
        ["b"],
        ["c"],
    ]
    assert ring == []


def test_every_column_has_a_meaning():
    names = {column.name for column in reading_columns.TAKEN}

    assert set(reading_columns.MEANINGS) == names
    assert set(reading_columns.EXAMPLE) <= names
