"""The one door takes CSV too: declared, never guessed, an outcome for every row."""

from urllib.parse import quote

import pytest

from inspections.models import Reading, ReadingState, Upload
from tests import callers, factories
from tests.inspections.api.upload_answers import outcomes

pytestmark = pytest.mark.django_db

HEADER = "machine,visit,visited_at,reference,kind,rope,groove,value,unit"
AT = "2026-05-04T10:00:00+01:00"


def row(number, value="12.8", unit="mm", *, kind="rope_diameter", rope="1", groove=""):
    return f"MH-1,v-1,{AT},r-{number},{kind},{rope},{groove},{value},{unit}"


def send(cast, *lines, query="", encoding="utf-8", **how):
    raw = "\r\n".join(lines).encode(encoding)
    named = {"content_type": "text/csv", "role": "TECHNICIAN", "raw": raw} | how
    return callers.call(cast, "POST", f"/api/v1/uploads{query}", **named)


def test_every_row_has_its_outcome_in_order_and_the_good_ones_are_stored(north):
    answer = send(
        north,
        HEADER,
        row(1),
        row(2, value='"12,8"'),
        row(3, unit=""),
        row(4, rope="x"),
        "",
        row(5, value="15"),
        row(6, value="9", rope="2"),
        row(1),
    )

    assert outcomes(answer) == [
        "stored",
        "refused",
        "refused",
        "refused",
        "held",
        "stored",
        "already-stored",
    ]
    found = answer.json()
    assert [entry["row"] for entry in found["readings"]] == [2, 3, 4, 5, 7, 8, 9]
    assert [
        entry["problem"]["pointer"] for entry in found["readings"] if "problem" in entry
    ] == ["/rows/3/value", "/rows/4/unit", "/rows/5/rope"]
    assert "measure again" in found["readings"][5]["warning"]
    assert found["counts"] == {
        "stored": 2,
        "refused": 3,
        "held": 1,
        "already-stored": 1,
    }
    assert [(v["row"], v["outcome"]) for v in found["visits"]] == [(2, "stored")]
    assert found["cautions"]
    callers.confine(north)
    assert {r.reference for r in Reading.objects.all()} == {"r-1", "r-5", "r-6"}
    assert Reading.objects.get(reference="r-6").state == ReadingState.UNCONFIRMED


def test_the_file_and_the_same_reading_as_json_are_one(north):
    send(north, HEADER, row(1))

    answer = callers.upload(
        north, factories.upload({"value": "12.8", "unit": "mm", "reference": "r-1"})
    )

    assert outcomes(answer) == ["already-stored"]


def test_a_stop_is_said_at_once(north):
    answer = send(north, HEADER, row(1, "yes", "", kind="slip_seen", rope=""))

    assert "out of service" in answer.json()["stop"]
    assert "licensed inspector" in answer.json()["readings"][0]["stop"]


# --- as the file declares it; faults 18 and 26 ----------------------------------------
@pytest.mark.parametrize(
    ("heading", "typed", "unit", "value"),
    [
        ("value [mm]", "12.8", "mm", 12.8),
        ("value [in]", "1/2", "in", 12.7),
        ("value [mm] (decimal comma)", '"12,8"', "mm", 12.8),
        ("value [mm](decimal point)", "12.8", "mm", 12.8),
    ],
)
def test_a_column_declares_its_unit_and_its_decimal_mark(
    north, heading, typed, unit, value
):
    header = HEADER.replace("value,unit", heading)

    answer = send(north, header, row(1, typed, "").removesuffix(","))

    assert outcomes(answer) == ["stored"]
    callers.confine(north)
    stored = Reading.objects.get()
    assert (stored.value, stored.typed_unit) == (pytest.approx(value), unit)


@pytest.mark.parametrize(
    ("heading", "typed"),
    [
        ("value", "12.8"),
        ("value [mm]", '"12,8"'),
        ("value [mm] (decimal comma)", "12.8"),
        ("value [mm] (decimal comma)", '"1.012,8"'),
    ],
)
def test_what_is_not_declared_is_refused_and_not_guessed(north, heading, typed):
    header = HEADER.replace("value,unit", heading)

    answer = send(north, header, row(1, typed, "").removesuffix(","))

    assert outcomes(answer) == ["refused"]
    assert answer.json()["readings"][0]["problem"]["pointer"] == f"/rows/2/{heading}"


@pytest.mark.parametrize("encoding", ["utf-8-sig", "cp1252"])
def test_the_file_may_come_as_a_spreadsheet_of_another_country_writes_it(
    north, encoding
):
    lines = [
        "machine;visited_on;kind;rope;value [mm];note",
        "MH-1;04.05.2026;rope_diameter;1;12,8;gröber als zuvor",
    ]
    query = (
        f"?delimiter=semicolon&decimal_mark=comma&encoding={encoding}&dates=DD.MM.YYYY"
    )

    answer = send(north, *lines, query=query, encoding=encoding)

    assert outcomes(answer) == ["stored"]
    callers.confine(north)
    stored = Reading.objects.get()
    assert (stored.value, stored.note) == (12.8, "gröber als zuvor")


@pytest.mark.parametrize(
    ("text", "query", "status", "code"),
    [
        ("\r\n", "", 400, "not-a-table"),
        ("\ufeff" + HEADER, "", 400, "not-a-table"),
        (HEADER.replace(",", ";"), "", 400, "not-a-table"),
        (HEADER + ",colour", "", 422, "rows-refused"),
        ("visit,value", "", 422, "rows-refused"),
        (HEADER.replace("value", "value (decimal dot)"), "", 422, "rows-refused"),
        (HEADER, "?decimal_mark=comma", 400, "unknown-format"),
        (HEADER, "?encoding=utf-16", 400, "unknown-format"),
        (HEADER, "?dry_run=true", 400, "parse-error"),
        (HEADER + "\n" + row(1), "?sent_at=now", 400, "not-an-upload"),
    ],
)
def test_a_file_that_is_no_table_of_readings_is_refused_whole(
    north, text, query, status, code
):
    answer = send(north, text, query=query)

    assert callers.is_problem(answer, status, code)
    callers.confine(north)
    assert not Upload.objects.exists()


def test_a_file_in_utf_16_is_refused_with_the_reason(north):
    answer = send(north, HEADER, row(1), encoding="utf-16")

    assert callers.is_problem(answer, 400, "not-a-table")
    assert "UTF-16" in answer.json()["detail"]


def test_a_file_over_the_limits_is_too_large(north, settings):
    settings.UPLOAD_MAX_READINGS = 2
    rows = send(north, HEADER, row(1), row(2), row(3))
    settings.UPLOAD_MAX_BYTES = 100
    letters = send(north, HEADER, row(1), row(2))

    assert callers.is_problem(rows, 413, "too-many-rows")
    assert callers.is_problem(letters, 413, "body-too-large")


# --- again and again; faults 8, 10 and 11 ---------------------------------------------
def test_the_same_key_and_file_gets_the_stored_answer_row_by_row(north):
    lines = (HEADER, row(1), row(2, value="x"))

    first = send(north, *lines, Idempotency_Key="k-1")
    second = send(north, *lines, Idempotency_Key="k-1")

    assert second["Idempotency-Replayed"] == "true"
    assert second.json() == first.json()
    assert second.json()["readings"][1]["problem"]["pointer"] == "/rows/3/value"


@pytest.mark.parametrize(
    "query", ["?dates=DD.MM.YYYY", f"?sent_at={quote(AT)}", "?encoding=cp1252"]
)
def test_the_same_key_with_the_file_declared_otherwise_is_refused(north, query):
    send(north, HEADER, row(1), Idempotency_Key="k-1")

    answer = send(north, HEADER, row(1), query=query, Idempotency_Key="k-1")

    assert callers.is_problem(answer, 422, "key-reused")


def test_without_a_key_or_references_the_same_rows_store_nothing_twice(north):
    lines = (
        "machine,visited_on,kind,rope,value [mm]",
        "MH-1,2026-05-04,rope_diameter,1,12",
    )

    first, second = send(north, *lines), send(north, *lines)

    assert (outcomes(first), outcomes(second)) == (["stored"], ["already-stored"])


# --- visits ---------------------------------------------------------------------------
def test_rows_of_several_visits_may_be_mixed_and_a_visit_may_have_no_reading(north):
    answer = send(
        north,
        "machine,visit,visited_on,reference,kind,rope,value [mm]",
        "MH-1,v-1,2026-05-04,r-1,rope_diameter,1,12.8",
        "QC-1,v-2,2026-05-04,r-2,rope_diameter,1,12.8",
        "MH-1,v-1,2026-05-04,r-3,rope_diameter,2,12.8",
        "MH-1,v-3,2026-05-05,,,,",
        "NO-1,v-4,2026-05-04,r-4,rope_diameter,1,12.8",
        "MH-1,v-1,2026-05-06,r-5,rope_diameter,2,12.8",
    )

    assert outcomes(answer) == ["stored"] * 4 + ["refused"] * 2
    found = answer.json()["readings"]
    assert [e["reference"] for e in found] == ["r-1", "r-2", "r-3", "v-3", "r-4", "r-5"]
    assert [e["problem"]["pointer"] for e in found[4:]] == [
        "/rows/6/machine",
        "/rows/7/visit",
    ]


def test_the_senders_clock_is_compared(north):
    answer = send(north, HEADER, row(1), query=f"?sent_at={quote(AT)}")

    assert answer.json()["clock_offset_s"] > 0


def test_an_unknown_parameter_beside_json_is_refused(north):
    answer = callers.call(
        north,
        "POST",
        "/api/v1/uploads?delimiter=comma",
        factories.upload(),
        role="TECHNICIAN",
    )

    assert callers.is_problem(answer, 400, "parse-error")


def test_a_reader_uploads_no_file(north):
    answer = send(north, HEADER, row(1), role="OWNER_READER")

    assert callers.is_problem(answer, 403, "permission-denied")
