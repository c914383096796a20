"""Cases in which something worse, or less, once made a machine look better."""

from datetime import UTC, datetime

import pytest
import time_machine

from inspections import assessment, forecasts
from tests import callers, factories

pytestmark = pytest.mark.django_db

LATER = datetime(2026, 9, 1, tzinfo=UTC)


@pytest.fixture(autouse=True)
def quiet(monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    with time_machine.travel("2026-08-30T08:00:00+00:00", tick=True):
        yield


def lift(*, criteria_set="EN_81_20", **changes):
    """Register the undercut machine by a criteria set, with a changed register."""
    entry = factories.portfolio(code="north")
    building = entry["buildings"][0]
    building["criteria_set"] = criteria_set
    building["machines"][0] |= changes
    return factories.cast(code="north", entry=entry)


def visit(cast, number, *readings, day="2026-05-04", **more):
    """Send one visit, every reading with its own reference."""
    named = [
        {"reference": f"{number}-{n}", "rope": None} | each
        for n, each in enumerate(readings)
    ]
    body = factories.upload(
        *named,
        reference=f"v-{number}",
        visited_at=f"{day}T10:00:00+01:00",
        **more,
    )
    answer = callers.upload(cast, body)
    assert answer.status_code == 207, answer.content
    outcomes = {each["outcome"] for each in answer.json()["readings"]}
    assert outcomes <= {"stored", "held"}, answer.content


def page(cast):
    """Look at the machine as the workers do; return its page."""
    callers.confine(cast)
    machine = factories.machine(cast.scope())
    for act in (assessment.assess, forecasts.project):
        act(scope=cast.scope(), machine_ids=[machine.pk], as_of=LATER)
    answer = callers.call(cast, "GET", f"/api/v1/machines/{machine.pk}/page")
    assert answer.status_code == 200, answer.content
    return answer.json()


def stands_still(cast, topic):
    """Tell whether the machine is stopped and the criterion is past its limit."""
    found = page(cast)
    beyond = {f["topic"] for f in found["findings"] if f["grade"] == "ACT_NOW"}
    return found["grade"] == "STOPPED" and topic in beyond


def stops(cast):
    answer = callers.call(cast, "GET", "/api/v1/stops")
    assert answer.status_code == 200, answer.content
    return {
        (row["cause"], row["place"])
        for row in answer.json()["results"]
        if row["released_at"] is None
    }


def count(number, *, window="lay", rope=1, **place):
    return {
        "kind": "breaks_total",
        "rope": rope,
        "value": str(number),
        "unit": "1",
        "place": {"window": window, **place},
    }


def thick(value_mm, *, station="middle", rope=1):
    return {
        "kind": "rope_diameter",
        "rope": rope,
        "value": f"{value_mm}",
        "unit": "mm",
        "place": {"station": station},
    }


def check(word, part="crack"):
    return {"kind": "check", "place": {"part": part}, "value": word}


def slip(word):
    return {"kind": "slip_seen", "value": word}


def clearance(value_mm, groove):
    return {
        "kind": "bottom_clearance",
        "groove": groove,
        "value": f"{value_mm:.2f}",
        "unit": "mm",
    }


@pytest.mark.parametrize("criteria_set", ["EN_81_20", "TSG_T7001", "ASME_A17_1"])
def test_180_broken_wires_in_one_lay_stop_the_machine(criteria_set):
    north = lift(criteria_set=criteria_set)

    visit(north, 1, count(180))

    assert stands_still(north, "broken wires")
    assert ("BROKEN_WIRES", "rope 1") in stops(north)


def test_100_broken_wires_in_30_diameters_are_not_in_order():
    north = lift()

    visit(north, 1, count(100, window="30d"))
    found = page(north)

    # Between 20 and 100 lie in the worst lay, and 30 condemn.
    answers = {f["answer"] for f in found["findings"] if f["topic"] == "broken wires"}
    assert "OPEN" in answers
    assert found["grade"] != "IN_ORDER"


def test_a_later_count_in_another_window_clears_nothing():
    north = lift()
    visit(north, 1, count(40))

    visit(north, 2, count(45, window="30d"), day="2026-06-04")

    assert stands_still(north, "broken wires")
    assert ("BROKEN_WIRES", "rope 1") in stops(north)


def test_few_broken_wires_this_year_do_not_clear_many_last_year():
    north = lift()
    visit(north, 1, count(40), day="2025-05-04")

    visit(north, 2, count(2))

    assert stands_still(north, "broken wires")


def test_a_crack_that_is_not_seen_later_still_stops():
    north = lift()
    visit(north, 1, check("defect"))

    visit(north, 2, check("not seen"), day="2026-06-04")

    page(north)
    assert ("CRACK", "crack") in stops(north)


def test_a_pass_in_the_visit_of_a_defect_clears_nothing():
    north = lift()

    visit(north, 1, check("defect", "fastening"), check("pass", "fastening"))

    assert stands_still(north, "check")
    assert ("FASTENING_DEFECT", "fastening") in stops(north)


def test_a_slip_then_none_in_one_test_is_a_slip():
    north = lift()

    visit(north, 1, slip("yes"), slip("no"), kind="SLIP_TEST")

    assert stands_still(north, "rope slip")
    assert {cause for cause, _ in stops(north)} & {"ROPE_SLIP", "SLIP_TEST_FAILED"}


def test_a_routine_no_clears_no_slip():
    north = lift()
    visit(north, 1, slip("yes"))

    visit(north, 2, slip("no"), day="2026-06-04")

    page(north)
    assert ("ROPE_SLIP", "") in stops(north)


def test_a_rope_read_thicker_elsewhere_stays_condemned():
    north = lift()
    visit(north, 1, thick(11.2), thick(11.2))
    assert stands_still(north, "rope diameter")

    visit(north, 2, thick(12.9, station="end"), day="2026-06-04")

    assert stands_still(north, "rope diameter")
    assert ("ROPE_DIAMETER", "rope 1") in stops(north)


@pytest.mark.parametrize("criteria_set", ["ASME_A17_1", "ASME_A17_6", "MLIT_283"])
def test_a_thin_rope_of_any_family_is_told_of(criteria_set):
    north = lift(criteria_set=criteria_set)

    visit(north, 1, thick(11.2), thick(11.2))

    topics = {(f["topic"], f["place"]) for f in page(north)["findings"]}
    assert ("rope diameter", "rope 1") in topics


def test_an_offset_of_500_mm_is_not_in_order_without_a_modulus():
    north = lift()
    marks = [
        {
            "kind": "rope_mark_offset",
            "rope": 1,
            "value": "500",
            "unit": "mm",
            "place": {"travel": "round trip", "load": "empty", "round_trips": trip},
        }
        for trip in ("1", "2", "3")
    ]

    visit(north, 1, *marks)

    assert stands_still(north, "creep over the sheave")


def test_a_deeper_last_reading_keeps_a_date_and_brings_it_no_later():
    dates = []
    for last in (1.7, 1.0, 0.55):
        north = lift() if not dates else None
        cast = north or factories.cast(
            code=f"n{len(dates)}", entry=_named(f"n{len(dates)}")
        )
        for year, left in enumerate((3.4, 2.9, 2.4), start=2023):
            visit(
                cast,
                year,
                *(clearance(left, n) for n in range(1, 6)),
                *(thick(13.0, rope=n) for n in range(1, 6)),
                day=f"{year}-04-15",
            )
        visit(
            cast,
            2026,
            clearance(last, 1),
            *(clearance(1.9, n) for n in range(2, 6)),
            *(thick(13.0, rope=n) for n in range(1, 6)),
            day="2026-04-15",
        )
        [row] = [
            f
            for f in page(cast)["forecasts"]
            if (f["quantity"], f["place"]) == ("seat_depth", "groove 1")
        ]
        assert row["plan_before_on"] is not None, row
        dates.append(row["plan_before_on"])

    assert dates == sorted(dates, reverse=True)


def _named(code):
    return factories.portfolio(code=code)


def test_no_number_is_shown_that_cannot_be():
    north = lift()
    for year, left in ((2021, 3.95), (2022, 3.9), (2023, 3.85), (2026, 3.8)):
        visit(
            north,
            year,
            *(clearance(left, n) for n in range(1, 6)),
            *(thick(13.0, rope=n) for n in range(1, 6)),
            day=f"{year}-04-15",
        )

    for row in page(north)["forecasts"]:
        if row["level"] is not None:
            assert abs(row["level"]) < 20.0, row
            assert row["level_sd"] < 13.0, row
        for name in ("p10_on", "p50_on", "plan_before_on"):
            assert row[name] is None or row[name] >= "2020-01-15", row


def test_a_machine_of_which_nothing_was_read_is_not_in_order():
    north = lift()

    assert page(north)["grade"] == "NOT_ASSESSED"


def test_a_rim_without_its_runout_is_not_in_order():
    north = lift()
    survey = [
        {
            "kind": "rim_thickness",
            "value": "31.5",
            "unit": "mm",
            "place": {"axial_mm": axial, "mark": mark, "over": "land"},
        }
        for axial in (5.0, 100.0)
        for mark in ("A", "B", "C", "D")
    ]
    depths = [
        {"kind": "groove_bottom_depth", "groove": n, "value": "18", "unit": "mm"}
        for n in range(1, 6)
    ]

    visit(north, 1, *survey, *depths, kind="RIM_SURVEY")
    found = [f for f in page(north)["findings"] if f["topic"] == "rim metal"]

    # 13.5 mm of metal by the thickness alone; what is in order is not on the page.
    assert found
    assert all(f["grade"] != "IN_ORDER" for f in found)


def test_a_rope_past_its_limit_is_told_beside_every_unread_one():
    north = lift()

    visit(north, 1, *(thick(13.0, rope=n) for n in range(1, 5)), thick(11.0, rope=5))

    assert stands_still(north, "rope diameter")
    assert stops(north) == {("ROPE_DIAMETER", "rope 5")}


@pytest.mark.parametrize(
    ("cause", "readings"),
    [
        ("BROKEN_WIRES", [count(180)]),
        ("ROPE_DIAMETER", [thick(11.2), thick(11.2)]),
        (
            "MARKS_SLIP",
            [
                {
                    "kind": "rope_mark_offset",
                    "rope": 1,
                    "value": "500",
                    "unit": "mm",
                    "place": {"travel": "round trip", "load": "empty"},
                }
            ],
        ),
    ],
)
def test_what_a_machines_own_criteria_stop_is_told_in_the_answer(cause, readings):
    north = lift()
    rows = [r | {"reference": f"r-{n}"} for n, r in enumerate(readings)]

    answer = callers.upload(north, factories.upload(*rows)).json()

    assert answer["stop"] == answer["readings"][0]["stop"]
    assert answer["readings"][0]["warning"]
    # The workers find the same, and raise it.
    page(north)
    assert stops(north) == {(cause, "rope 1")}


@pytest.mark.parametrize("travel_m", [None, 30.0])
def test_an_offset_of_500_mm_stops_whether_the_travel_is_known(travel_m):
    north = lift(travel_m=travel_m)

    visit(
        north,
        1,
        {
            "kind": "rope_mark_offset",
            "rope": 1,
            "value": "500",
            "unit": "mm",
            "place": {"travel": "one way", "load": "rated", "frame_mark": "moved"},
        },
    )

    assert stands_still(north, "creep over the sheave")


def test_a_speed_that_is_read_is_told_of_without_a_rated_one():
    north = lift(rated_speed_m_s=None)

    visit(north, 1, {"kind": "travel_speed", "value": "3.4", "unit": "m/s"})

    topics = {f["topic"] for f in page(north)["findings"]}
    assert "car speed" in topics


def test_a_finding_that_stops_is_never_answered_as_within():
    north = lift(stalled_drive="SAFETY_DEVICE", car_mass_kg=2500.0)
    test = {"case": "empty car up"}
    slipped = {"kind": "traction_test", "value": "slipped", "place": test}

    visit(
        north,
        1,
        slipped,
        *(clearance(3.9, n) for n in range(1, 6)),
        *(thick(13.0, rope=n) for n in range(1, 6)),
    )
    found = [f for f in page(north)["findings"] if f["grade"] == "ACT_NOW"]

    assert {"traction", "traction test"} <= {f["topic"] for f in found}
    assert {f["answer"] for f in found} == {"BEYOND"}


def crown(value_mm, groove):
    return {
        "kind": "rope_crown_height",
        "groove": groove,
        "value": f"{value_mm}",
        "unit": "mm",
        "place": {"mark": "A"},
    }


def grooves_read(left_mm, *crowns):
    return [
        *(clearance(left_mm, n) for n in range(1, 6)),
        *(thick(13.0, rope=n) for n in range(1, 6)),
        *(crown(height, n) for n, height in enumerate(crowns, start=1)),
    ]


def test_a_crown_that_sank_counts_although_nobody_read_it_as_new():
    north = lift(stalled_drive="SAFETY_DEVICE", car_mass_kg=1500.0, wrap_angle_deg=178)
    visit(north, 1, *grooves_read(3.8, 2.5, 2.5), day="2025-05-04")
    before = page(north)

    visit(north, 2, *grooves_read(3.8, 2.5, -4.0), day="2026-05-04")
    after = page(north)

    def graded(found):
        return {
            f["grade"]
            for f in found["findings"]
            if f["topic"].startswith("traction") and f["place"] == "groove 2"
        }

    assert "ACT_NOW" not in graded(before)
    assert graded(after) == {"ACT_NOW"}


def test_a_hardened_layer_that_is_gone_is_not_there_again():
    north = lift()
    callers.confine(north)
    row = factories.machine(north.scope()).sheaves.get().geometries.get()
    address = f"/api/v1/sheave-geometries/{row.pk}"

    def enter(value):
        tag = callers.call(north, "GET", address)["ETag"]
        answer = callers.call(
            north, "PATCH", address, {"hardened_depth_mm": value}, If_Match=tag
        )
        assert answer.status_code == 200, answer.content

    def is_gone():
        return any(
            f["topic"] == "hardened layer" and f["grade"] == "PLAN_WORK"
            for f in page(north)["findings"]
        )

    enter(1.0)
    visit(north, 1, *grooves_read(2.4), day="2025-05-04")
    assert is_gone()

    # Shallower, by the same person with the same gauge; then taken away.
    visit(north, 2, *grooves_read(3.8), day="2026-05-04")
    assert is_gone()
    enter(None)
    assert is_gone()
