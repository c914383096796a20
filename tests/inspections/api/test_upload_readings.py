"""Readings in: as typed and as meant, and each refusal with its field."""

import json

import pytest

from inspections.models import Reading
from tests import callers, factories
from tests.inspections.api.upload_answers import GOOD, only_problem, outcomes, refusal

pytestmark = pytest.mark.django_db


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
    assert any("not an inspection" in caution for caution in answer["cautions"])


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


# --- each refusal, its pointer and its code; faults 14, 16, 17, 18, 19 ----------------
BAD = [
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
]


def test_bad_readings_are_refused_each_with_its_field_and_the_good_ones_are_stored(
    north,
):
    bad = [GOOD | reading for reading, _, _ in BAD]
    body = factories.upload(GOOD, *bad, GOOD | {"rope": 2})

    answer = callers.upload(north, body)

    assert outcomes(answer) == ["stored", *["refused"] * len(bad), "stored"]
    problems = [each["problem"] for each in answer.json()["readings"][1:-1]]
    found = [(each["pointer"], each["code"]) for each in problems]
    assert found == [
        (f"/visits/0/readings/{n}{pointer}", code)
        for n, (_, pointer, code) in enumerate(BAD, 1)
    ]
    assert all(each["detail"] for each in problems)
    callers.confine(north)
    kept = set(Reading.objects.values_list("reference", flat=True))
    assert kept == {"r-0", f"r-{len(BAD) + 1}"}


# Alone in its upload: a row in ten every time, all of them in the long run.
@pytest.mark.parametrize(
    ("reading", "pointer", "code"),
    [
        pytest.param(*row, marks=pytest.mark.long if n % 10 else ())
        for n, row in enumerate(BAD)
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


# --- words that a reader sees are not the words that are sent -------------------------
@pytest.mark.parametrize(
    "word", ["in order", "passed", "no defect seen", "not looked at"]
)
def test_an_old_client_that_sends_other_words_is_told_what_is_taken(north, word):
    check = {"kind": "check", "rope": None, "place": {"part": "hub"}, "unit": ""}

    answer = callers.upload(north, factories.upload(check | {"value": word}))

    problem = only_problem(answer)
    assert problem["pointer"].endswith("/value")
    assert problem["detail"].endswith("check takes pass, defect, not seen")
    callers.confine(north)
    assert not Reading.objects.exists()
