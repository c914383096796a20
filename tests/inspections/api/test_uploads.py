"""The one door for readings, through HTTP."""

import json
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet import tokens
from fleet.models import Job, Membership, Token
from inspections.models import Reading, ReadingState, Upload, Visit
from tests import callers, factories

pytestmark = pytest.mark.django_db

GOOD = {"value": "11.8", "unit": "mm"}


def outcomes(answer):
    assert answer.status_code == 207, answer.content
    return [entry["outcome"] for entry in answer.json()["readings"]]


def only_problem(answer):
    [entry] = answer.json()["readings"]
    assert entry["outcome"] == "refused", entry
    return entry["problem"]


def refusal(north, **reading):
    """Send a bad reading between two good ones; the good ones must be stored."""
    body = factories.upload(GOOD, GOOD | reading, GOOD | {"rope": 2})

    answer = callers.upload(north, body)

    assert outcomes(answer) == ["stored", "refused", "stored"], answer.content
    callers.confine(north)
    assert {r.reference for r in Reading.objects.all()} == {"r-0", "r-2"}
    problem = answer.json()["readings"][1]["problem"]
    assert problem["detail"]
    return problem["pointer"].removeprefix("/visits/0/readings/1"), problem["code"]


# --- as typed and as meant ------------------------------------------------------------
def test_readings_in_inches_and_millimetres_are_kept_as_typed_and_canonical(north):
    body = factories.upload(
        {"value": "0.463", "unit": "in"},
        {"value": "29/64", "unit": "in", "rope": 2},
        {"value": "11.8", "unit": "mm", "rope": 3},
    )

    answer = callers.upload(north, body)

    assert answer.json()["counts"] == {"stored": 3}
    callers.confine(north)
    rows = {r.typed_value: r for r in Reading.objects.all()}
    assert rows["0.463"].value == pytest.approx(11.7602)
    # The inch is 25.4 mm exactly (international yard and pound, 1959).
    assert rows["29/64"].value == pytest.approx(29 / 64 * 25.4, rel=1e-15)
    assert rows["29/64"].typed_unit == "in"
    assert rows["11.8"].value == 11.8


def test_the_answer_carries_the_cautions_and_the_senders_order(north):
    body = factories.upload(GOOD | {"reference": "z"}, GOOD | {"reference": "a"})

    answer = callers.upload(north, body).json()

    assert [entry["reference"] for entry in answer["readings"]] == ["z", "a"]
    assert any("no inspection" in caution for caution in answer["cautions"])


def test_a_signed_quantity_may_be_negative(north):
    crown = {"kind": "rope_crown_height", "groove": 1, "rope": None}

    answer = callers.upload(
        north,
        factories.upload(
            crown | {"value": "-1.2", "unit": "mm", "place": {"mark": "A"}}
        ),
    )

    assert outcomes(answer) == ["stored"]
    callers.confine(north)
    assert Reading.objects.get().value == -1.2


# --- each refusal, its pointer and its code; rows 14, 16, 17, 18, 19 ------------------
@pytest.mark.parametrize(
    ("reading", "pointer", "code"),
    [
        ({"unit": "cubit"}, "/unit", "unknown-unit"),
        ({"unit": "Mm"}, "/unit", "unknown-unit"),
        ({"unit": "MM"}, "/unit", "unknown-unit"),
        ({"unit": '"'}, "/unit", "unknown-unit"),
        ({"unit": "kg"}, "/unit", "wrong-dimension"),
        ({"unit": "N"}, "/unit", "wrong-dimension"),
        ({"unit": ""}, "/unit", "unit-missing"),
        ({"unit": None}, "/unit", "unit-missing"),
        ({"unit": 5}, "/unit", "unit-missing"),
        ({"value": "NaN"}, "/value", "unreadable-number"),
        ({"value": "Infinity"}, "/value", "unreadable-number"),
        ({"value": "-inf"}, "/value", "unreadable-number"),
        ({"value": "1e400"}, "/value", "unreadable-number"),
        ({"value": "1e3"}, "/value", "unreadable-number"),
        ({"value": "1_000"}, "/value", "unreadable-number"),
        ({"value": "١١.٨"}, "/value", "unreadable-number"),
        ({"value": "１１.８"}, "/value", "unreadable-number"),
        ({"value": "11,8"}, "/value", "unreadable-number"),
        ({"value": "1.234,5"}, "/value", "unreadable-number"),
        ({"value": "11.8 mm"}, "/value", "unreadable-number"),
        ({"value": "9**9**9"}, "/value", "unreadable-number"),
        ({"value": "29/0"}, "/value", "unreadable-number"),
        ({"value": ""}, "/value", "unreadable-number"),
        ({"value": "1" * 41}, "/value", "invalid"),
        ({"value": 11.8}, "/value", "invalid"),
        ({"value": True}, "/value", "invalid"),
        ({"value": None}, "/value", "invalid"),
        ({"value": "-11.8"}, "/value", "out-of-range"),
        ({"value": "0"}, "/value", "out-of-range"),
        ({"value": "-0"}, "/value", "out-of-range"),
        ({"taken_at": "2026-05-04T10:00:00"}, "/taken_at", "offset-missing"),
        ({"taken_at": "2026-05-04"}, "/taken_at", "offset-missing"),
        ({"taken_at": "0001-01-01T00:00:00+00:00"}, "/taken_at", "invalid"),
        ({"taken_at": "9999-12-31T23:59:59-12:00"}, "/taken_at", "invalid"),
        ({"taken_at": "2026-02-30T10:00:00+01:00"}, "/taken_at", "invalid"),
        ({"taken_at": "yesterday"}, "/taken_at", "invalid"),
        ({"taken_at": 1777888800}, "/taken_at", "invalid"),
        ({"taken_at": "2199-05-04T10:00:00+01:00"}, "/taken_at", "in-the-future"),
        ({"taken_at": "2019-05-04T10:00:00+01:00"}, "/rope", "no-part"),
        ({"colour": "red"}, "/colour", "unknown-field"),
        ({"a/b~c": "red"}, "/a~1b~0c", "unknown-field"),
        ({"kind": "elbow_room"}, "/kind", "unknown-kind"),
        ({"kind": ["rope_diameter"]}, "/kind", "unknown-kind"),
        ({"rope": 6}, "/rope", "no-part"),
        ({"rope": 0}, "/rope", "invalid"),
        ({"rope": -1}, "/rope", "invalid"),
        ({"rope": "1"}, "/rope", "invalid"),
        ({"rope": True}, "/rope", "invalid"),
        ({"rope": 10**30}, "/rope", "invalid"),
        ({"rope": None}, "/rope", "invalid"),
        ({"groove": 1}, "/groove", "invalid"),
        ({"place": []}, "/place", "invalid"),
        ({"place": {"mark": "A"}}, "/place/mark", "unknown-place"),
        ({"place": {"direction": "3"}}, "/place/direction", "invalid"),
        ({"place": {"direction": ["1"]}}, "/place/direction", "invalid"),
        ({"place": {"station": ""}}, "/place/station", "invalid"),
        ({"reference": "has space"}, "/reference", "invalid"),
        ({"reference": "x" * 65}, "/reference", "invalid"),
        ({"reference": None}, "/reference", "invalid"),
        ({"gauge": "not-mine"}, "/gauge", "unknown-gauge"),
        ({"note": "x" * 501}, "/note", "invalid"),
        ({"note": 5}, "/note", "invalid"),
        ({"corrects": "nothing"}, "/corrects", "cannot-correct"),
    ],
)
def test_a_bad_reading_is_refused_with_its_field_and_the_good_ones_are_stored(
    north, reading, pointer, code
):
    assert refusal(north, **reading) == (pointer, code)


@pytest.mark.parametrize(
    ("reading", "pointer", "code"),
    [
        (
            {"kind": "groove_bottom_depth", "groove": 1, "unit": "kg"},
            "/unit",
            "wrong-dimension",
        ),
        ({"kind": "rope_crown_height", "groove": 1}, "/place/mark", "place-missing"),
        ({"kind": "bottom_clearance", "groove": 6}, "/groove", "no-part"),
        (
            {"kind": "rope_tension", "rope": 1, "unit": "kg"},
            "/unit",
            "wrong-dimension",
        ),
        (
            {"kind": "breaks_total", "rope": 1, "value": "1/2", "unit": "1"},
            "/value",
            "invalid",
        ),
        ({"kind": "slip_seen", "value": "maybe"}, "/value", "invalid"),
        ({"kind": "slip_seen", "value": "no"}, "/unit", "unit-not-taken"),
        (
            {"kind": "check", "value": "pass", "unit": ""},
            "/place/part",
            "place-missing",
        ),
    ],
)
def test_what_a_kind_asks_for_is_refused_if_it_is_missing_or_odd(
    north, reading, pointer, code
):
    filled = {"rope": None, "value": "3"} | reading

    assert refusal(north, **filled) == (pointer, code)


def test_a_number_too_large_for_a_float_spoils_its_own_reading_only(north):
    body = json.dumps(factories.upload(GOOD, GOOD | {"value": 1.5}))

    answer = callers.upload(north, raw=body.replace("1.5", "1e400").encode())

    assert outcomes(answer) == ["stored", "refused"]


def test_a_rim_place_too_large_or_not_a_number_is_refused(north):
    rim = {"kind": "rim_thickness", "rope": None, "value": "22", "unit": "mm"}
    places = [
        {"axial_mm": value, "mark": "A", "over": "land"}
        for value in (1e308, -1, True, "40")
    ]
    body = factories.upload(*(rim | {"place": place} for place in places))

    answer = callers.upload(north, body)

    assert outcomes(answer) == ["refused"] * 4
    pointers = {e["problem"]["pointer"][-9:] for e in answer.json()["readings"]}
    assert pointers == {"/axial_mm"}


# --- the visit's own faults -----------------------------------------------------------
@pytest.mark.parametrize(
    ("visit", "pointer", "code"),
    [
        ({"machine": "NO-1"}, "/visits/0/machine", "unknown-machine"),
        ({"machine": None}, "/visits/0/machine", "invalid"),
        ({"machine": ["MH-1"]}, "/visits/0/machine", "invalid"),
        ({"kind": "TEA"}, "/visits/0/kind", "invalid"),
        (
            {"visited_at": "2026-05-04T10:00:00"},
            "/visits/0/visited_at",
            "offset-missing",
        ),
        (
            {"visited_at": "2199-05-04T10:00:00+01:00"},
            "/visits/0/visited_at",
            "in-the-future",
        ),
        ({"reference": ""}, "/visits/0/reference", "invalid"),
        ({"note": "x" * 2001}, "/visits/0/note", "invalid"),
        ({"colour": 1}, "/visits/0/colour", "unknown-field"),
        ({"work": "done"}, "/visits/0/work", "invalid"),
        (
            {"work": {"kind": "ROPING", "done_on": "2026-05-01"}},
            "/visits/0/work",
            "unknown-work",
        ),
        (
            {"work": {"kind": "NAP", "done_on": "2026-05-01"}},
            "/visits/0/work/kind",
            "invalid",
        ),
        (
            {"work": {"kind": "ROPING", "done_on": 5}},
            "/visits/0/work/done_on",
            "invalid",
        ),
    ],
)
def test_a_visit_that_cannot_be_taken_refuses_its_readings_and_stores_nothing(
    north, visit, pointer, code
):
    answer = callers.upload(north, factories.upload(GOOD, **visit))

    problem = only_problem(answer)
    assert (problem["pointer"], problem["code"]) == (pointer, code)
    assert answer.json()["visits"][0]["problem"]["code"] == code
    callers.confine(north)
    assert not Visit.objects.exists()
    assert not Reading.objects.exists()


def test_a_visit_without_readings_is_told_what_became_of_it(north):
    good = factories.upload()
    bad = factories.upload(machine="NO-1", reference="v-2")

    stored = callers.upload(north, good).json()
    refused = callers.upload(north, bad).json()

    assert [visit["outcome"] for visit in stored["visits"]] == ["stored"]
    assert [visit["outcome"] for visit in refused["visits"]] == ["refused"]


def test_a_visit_of_which_nothing_could_be_taken_is_not_stored(north):
    answer = callers.upload(north, factories.upload(GOOD | {"unit": "kg"}))

    assert answer.json()["visits"][0]["problem"]["code"] == "nothing-taken"
    callers.confine(north)
    assert not Visit.objects.exists()


def test_a_foreign_machine_is_as_unknown_as_one_that_is_not_there(north, south):
    # Row 34: same words, whether the code is another contractor's or nobody's.
    callers.confine(south)
    machine = factories.machine(south.scope())
    type(machine).objects.filter(pk=machine.pk).update(code="SOUTH-ONLY")

    foreign = callers.upload(north, factories.upload(GOOD, machine="SOUTH-ONLY"))
    missing = callers.upload(north, factories.upload(GOOD, machine="NOBODYS-01"))

    told = only_problem(foreign), only_problem(missing)
    assert told[0]["code"] == told[1]["code"] == "unknown-machine"
    assert told[0]["detail"].replace("SOUTH-ONLY", "*") == told[1]["detail"].replace(
        "NOBODYS-01", "*"
    )


def test_twin_contractors_may_use_the_same_references_and_keys(north, south):
    # Row 36: unique per contractor only.
    body = factories.upload(GOOD)

    answers = [
        callers.upload(cast, body, Idempotency_Key="k") for cast in (north, south)
    ]

    assert [outcomes(answer) for answer in answers] == [["stored"], ["stored"]]
    assert "Idempotency-Replayed" not in answers[1].headers


# --- periods and the building's day ---------------------------------------------------
def test_a_reading_belongs_to_the_day_by_the_buildings_clock(north):
    # Quay Court stands in Halifax (UTC-4 in January): 01:00 UTC is still the 14th
    # there, the day before its sheave was fitted.
    before = {"taken_at": "2020-01-15T01:00:00+00:00"}
    after = {"taken_at": "2020-01-15T05:00:00+00:00"}

    answer = callers.upload(
        north, factories.upload(GOOD | before, GOOD | after, machine="QC-1")
    )

    assert outcomes(answer) == ["refused", "stored"]
    assert "2020-01-14" in answer.json()["readings"][0]["problem"]["detail"]


def test_an_offset_that_postgresql_does_not_know_is_the_instant_it_names(north):
    visit = {"visited_at": "2026-05-04T10:00:00+23:59"}

    answer = callers.upload(north, factories.upload(GOOD, **visit))

    assert outcomes(answer) == ["stored"]
    callers.confine(north)
    assert Reading.objects.get().taken_at == datetime(2026, 5, 3, 10, 1, tzinfo=UTC)


# --- repeats; rows 8 to 11 ------------------------------------------------------------
def test_the_same_upload_twice_stores_nothing_new(north):
    body = factories.upload(GOOD, GOOD | {"rope": 2}, GOOD | {"unit": "kg", "rope": 3})

    first, second = callers.upload(north, body), callers.upload(north, body)

    assert outcomes(first) == ["stored", "stored", "refused"]
    assert outcomes(second) == ["already-stored", "already-stored", "refused"]
    ids = [[entry.get("id") for entry in a.json()["readings"]] for a in (first, second)]
    assert ids[0] == ids[1]
    assert [v["outcome"] for v in second.json()["visits"]] == ["already-stored"]


@pytest.mark.parametrize(
    "change",
    [
        {"value": "11.9"},
        {"value": "11.80"},
        {"value": "0.4", "unit": "in"},
        {"rope": 2},
        {"note": "wiped first"},
        {"taken_at": "2026-05-04T10:01:00+01:00"},
        {"place": {"station": "car side"}},
    ],
)
def test_a_reference_with_other_content_is_a_conflict_and_changes_nothing(
    north, change
):
    callers.upload(north, factories.upload(GOOD))

    answer = callers.upload(north, factories.upload(GOOD | change))

    assert outcomes(answer) == ["conflict"]
    problem = answer.json()["readings"][0]["problem"]
    assert problem["pointer"] == "/visits/0/readings/0/reference"
    assert problem["code"] == "reference-reused"
    callers.confine(north)
    assert Reading.objects.get().typed_value == "11.8"


def test_a_reference_twice_in_one_upload_is_stored_once(north):
    twin = GOOD | {"reference": "r-0"}

    answer = callers.upload(
        north, factories.upload(twin, twin, twin | {"value": "11.7"})
    )

    assert outcomes(answer) == ["stored", "already-stored", "conflict"]


def test_a_visit_reference_of_another_machine_is_a_conflict(north):
    callers.upload(north, factories.upload(GOOD))
    other = factories.upload(GOOD | {"reference": "n"}, machine="QC-1")

    answer = callers.upload(north, other)

    assert outcomes(answer) == ["refused"]
    assert answer.json()["visits"][0]["outcome"] == "conflict"


def test_a_visit_that_grows_takes_the_new_readings_and_says_what_differs(north):
    callers.upload(north, factories.upload(GOOD))
    grown = factories.upload(GOOD, GOOD | {"rope": 2}, note="came back for rope 2")

    answer = callers.upload(north, grown)

    assert outcomes(answer) == ["already-stored", "stored"]
    assert answer.json()["visits"][0]["outcome"] == "conflict"


def test_the_same_key_gets_the_stored_answer_back(north):
    body = factories.upload(GOOD)

    first = callers.upload(north, body, Idempotency_Key='"abc"')
    second = callers.upload(north, body, Idempotency_Key="abc")

    assert second.status_code == first.status_code == 207
    assert second.json() == first.json()
    assert second["Idempotency-Replayed"] == "true"
    callers.confine(north)
    assert Upload.objects.count() == 1
    assert Job.objects.count() == 1


def test_a_key_reused_with_another_body_is_refused_and_stores_nothing(north):
    callers.upload(north, factories.upload(GOOD), Idempotency_Key="abc")
    other = factories.upload(GOOD | {"reference": "new"}, reference="v-9")

    answer = callers.upload(north, other, Idempotency_Key="abc")

    assert callers.is_problem(answer, 422, "key-reused")
    callers.confine(north)
    assert Reading.objects.count() == Visit.objects.count() == 1


@pytest.mark.parametrize("key", ["", '""', "x" * 129, "kéy"])
def test_a_key_that_is_none_is_refused(north, key):
    answer = callers.upload(north, factories.upload(GOOD), Idempotency_Key=key)

    assert callers.is_problem(answer, 400, "parse-error")


def test_an_upload_that_fails_midway_leaves_nothing_behind(north, monkeypatch):
    def fail(**_):
        raise RuntimeError("the disk is on fire")

    monkeypatch.setattr("fleet.jobs.write", fail)

    answer = callers.upload(north, factories.upload(GOOD), Idempotency_Key="abc")

    assert callers.is_problem(answer, 500, "server-error")
    assert "fire" not in answer.content.decode()
    callers.confine(north)
    assert not Upload.objects.exists()
    assert not Visit.objects.exists()
    assert not Reading.objects.exists()


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


# --- corrections ----------------------------------------------------------------------
def test_a_correction_names_the_old_reading_and_says_why(north):
    callers.upload(north, factories.upload(GOOD))
    again = GOOD | {"reference": "r-9", "corrects": "r-0", "value": "12.1"}

    silent = callers.upload(north, factories.upload(again))
    said = callers.upload(north, factories.upload(again | {"note": "wrong rope"}))

    assert only_problem(silent)["code"] == "cannot-correct"
    assert outcomes(said) == ["stored"]
    callers.confine(north)
    assert Reading.objects.get(reference="r-9").corrects.reference == "r-0"


def test_a_correction_of_another_kind_or_machine_is_refused(north):
    callers.upload(north, factories.upload(GOOD))
    again = {"reference": "r-9", "corrects": "r-0", "note": "typing"}
    kind = {"kind": "lay_length", "value": "80", "unit": "mm"}

    other_kind = callers.upload(north, factories.upload(kind | again))
    other_machine = callers.upload(
        north, factories.upload(GOOD | again, machine="QC-1", reference="v-2")
    )

    assert only_problem(other_kind)["code"] == "cannot-correct"
    assert only_problem(other_machine)["code"] == "cannot-correct"


# --- clocks; row 13 -------------------------------------------------------------------
def test_a_phone_ahead_of_time_keeps_its_times_and_is_told_so(north):
    ahead = (datetime.now(tz=UTC) + timedelta(hours=3)).isoformat()
    body = factories.upload(GOOD, visited_at=ahead) | {"sent_at": ahead}

    answer = callers.upload(north, body)

    assert outcomes(answer) == ["stored"]
    assert answer.json()["clock_offset_s"] == pytest.approx(-3 * 3600, abs=60)


def test_a_phone_years_ahead_is_not_believed(north):
    ahead = (datetime.now(tz=UTC) + timedelta(days=900)).isoformat()
    body = factories.upload(GOOD, visited_at=ahead) | {"sent_at": ahead}

    assert only_problem(callers.upload(north, body))["code"] == "in-the-future"


def test_a_phone_that_keeps_time_is_told_nothing(north):
    body = factories.upload(GOOD) | {"sent_at": datetime.now(tz=UTC).isoformat()}

    assert "clock_offset_s" not in callers.upload(north, body).json()


# --- the whole call; rows 20 to 26 ----------------------------------------------------
@pytest.mark.parametrize(
    "body",
    [
        [],
        {},
        {"visits": {}},
        {"visits": [5]},
        {"visits": [{"readings": "none"}]},
        {"visits": [], "colour": 1},
        {"visits": [], "sent_at": "now"},
        {"visits": [], "sent_at": 1e400},
    ],
)
def test_a_body_that_is_no_upload_is_refused_whole(north, body):
    answer = callers.upload(
        north, raw=json.dumps(body).replace("Infinity", "1e400").encode()
    )

    assert callers.is_problem(answer, 400, "not-an-upload")


def test_too_many_readings_and_too_many_visits_are_refused_whole(north, settings):
    settings.UPLOAD_MAX_READINGS = 2

    readings = callers.upload(north, factories.upload(GOOD, GOOD, GOOD))
    visits = callers.upload(north, {"visits": [{"readings": []}] * 3})

    assert callers.is_problem(readings, 413, "too-many-readings")
    assert callers.is_problem(visits, 413, "too-many-readings")


@pytest.mark.parametrize("path", ["/api/v1/uploads", "/api/v1/owners"])
def test_a_body_over_the_limit_is_too_large(north, settings, path):
    settings.UPLOAD_MAX_BYTES = settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1000
    raw = b'{"visits": [' + b" " * 1000 + b"]}"

    answer = callers.call(north, "POST", path, raw=raw)

    assert callers.is_problem(answer, 413, "body-too-large")


def test_ten_thousand_readings_need_no_more_queries_than_ten(north):
    few = [GOOD | {"reference": f"a{n}"} for n in range(10)]
    many = [GOOD | {"reference": f"b{n}"} for n in range(600)]
    callers.upload(north, factories.upload(GOOD | {"reference": "warm"}))

    with CaptureQueriesContext(
        connection,
    ) as ten:
        assert callers.upload(north, factories.upload(*few)).status_code == 207
    with CaptureQueriesContext(connection) as hundreds:
        assert callers.upload(north, factories.upload(*many)).status_code == 207

    assert len(hundreds) == len(ten)


def test_many_visits_need_no_more_queries_than_few(north):
    def visits(mark, count):
        return {
            "visits": [
                factories.upload(
                    GOOD | {"reference": f"{mark}-r{n}"}, reference=f"{mark}-{n}"
                )["visits"][0]
                for n in range(count)
            ]
        }

    callers.upload(north, factories.upload(GOOD))
    with CaptureQueriesContext(connection) as few:
        assert callers.upload(north, visits("a", 2)).json()["counts"] == {"stored": 2}
    with CaptureQueriesContext(connection) as many:
        assert callers.upload(north, visits("b", 60)).json()["counts"] == {"stored": 60}

    assert len(many) == len(few)


# --- who may --------------------------------------------------------------------------
def test_nobody_uploads_without_a_token(north):
    factories.forget_tenant()

    answer = callers.call(None, "POST", "/api/v1/uploads", factories.upload(GOOD))

    assert callers.is_problem(answer, 401, "not-authenticated")
    assert answer["WWW-Authenticate"].startswith("Bearer")


def test_an_owners_reader_and_a_read_only_token_may_not_upload(north):
    technician = Membership.objects.get(contractor=north.contractor, role="TECHNICIAN")
    key = tokens.issue(
        membership=technician,
        device="tablet",
        scopes=["READ"],
        issued_at=datetime.now(tz=UTC),
    )
    north.keys["READ_ONLY"] = key

    reader = callers.upload(north, factories.upload(GOOD), role="OWNER_READER")
    read_only = callers.upload(north, factories.upload(GOOD), role="READ_ONLY")

    assert callers.is_problem(reader, 403, "permission-denied")
    assert callers.is_problem(read_only, 403, "permission-denied")


def test_an_upload_only_token_uploads_and_reads_nothing(north):
    token = Token.objects.get(membership=north.memberships["TECHNICIAN"])
    token.scopes = ["UPLOAD"]
    token.save()

    sent = callers.upload(north, factories.upload(GOOD))
    read = callers.call(north, "GET", "/api/v1/readings", role="TECHNICIAN")

    assert outcomes(sent) == ["stored"]
    assert callers.is_problem(read, 403, "permission-denied")


# --- the job it causes; rows 4 and 5 --------------------------------------------------
def test_an_upload_queues_one_assessment_for_each_machine_it_touched(north):
    body = factories.upload(GOOD, GOOD | {"rope": 2})
    body["visits"] += factories.upload(
        GOOD | {"reference": "q"}, machine="QC-1", reference="v-2"
    )["visits"]
    body["visits"] += factories.upload(
        GOOD | {"reference": "x", "unit": "kg"}, machine="QC-1", reference="v-3"
    )["visits"]

    callers.upload(north, body)

    callers.confine(north)
    assert {job.subject_id for job in Job.objects.all()} == {
        factories.machine(north.scope(), code).pk for code in ("MH-1", "QC-1")
    }


def test_an_upload_that_stored_nothing_new_queues_nothing(north):
    body = factories.upload(GOOD)
    callers.upload(north, body)
    Job.objects.all().delete()

    callers.upload(north, body)

    assert not Job.objects.exists()
