"""One machine's worklist, over HTTP: what is due, why, and what comes with it."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from fleet.models import Sheave, SheaveGeometry
from inspections import assessment, forecasts, packs, worklist
from inspections.models import Finding, Forecast
from tests import callers, factories
from tests.inspections.completion import reports

pytestmark = pytest.mark.django_db

ROUTINE = [
    "seen running",
    "run-by",
    "wires",
    "diameters",
    "crowns",
    "open arc",
    "parts",
]


def ask(cast, query="", *, code="MH-1", **how):
    callers.confine(cast)
    pk = factories.machine(cast.scope(), code).pk
    return callers.call(cast, "GET", f"/api/v1/machines/{pk}/worklist{query}", **how)


def listed(cast, query="?minutes=600", **how):
    answer = ask(cast, query, **how)
    assert answer.status_code == 200, answer.content
    return answer.json()


def item(body, kind, number=None, part="steps", **place):
    for step in body[part]:
        for found in step["items"]:
            if (found["kind"], found["number"]) == (kind, number) and (
                place.items() <= found["place"].items()
            ):
                return found
    return None


def look_at(body, name):
    """Return what is asked of a part of the machine."""
    found = [each for step in body["steps"] for each in step["items"]]
    parts = [f for f in found if f["kind"] == "check" and f["place"]["part"] == name]
    return parts[0] if parts else None


def why(found):
    return [reason["why"] for reason in found["reasons"]]


def days_ago(days):
    return (timezone.now() - timedelta(days=days)).isoformat()


def read(cast, *readings, days=10, reference="v-1"):
    body = factories.upload(
        *(
            {"reference": f"{reference}-{n}", "rope": None} | reading
            for n, reading in enumerate(readings)
        ),
        reference=reference,
        visited_at=days_ago(days),
    )
    answer = callers.upload(cast, body)
    assert "refused" not in answer.json()["counts"], answer.content


def clearance(n, value):
    return {"kind": "bottom_clearance", "groove": n, "value": value, "unit": "mm"}


def diameter(n, value):
    return {"kind": "rope_diameter", "rope": n, "value": value, "unit": "mm"}


def look(cast):
    callers.confine(cast)
    machine = factories.machine(cast.scope())
    for act in (assessment.assess, forecasts.project):
        act(scope=cast.scope(), machine_ids=[machine.pk], as_of=timezone.now())
    return machine


# --- what is due ----------------------------------------------------------------------
def test_on_a_machine_never_read_everything_of_the_visit_is_due(north):
    body = listed(north)

    assert [step["code"] for step in body["steps"]] == ROUTINE
    assert body["minutes_planned"] == 35
    found = item(body, "rope_diameter", 5)
    assert why(found) == ["NEVER_READ"]
    assert (found["gauge"], found["unit"], found["last"]) == (
        "plate calliper",
        "mm",
        None,
    )
    assert item(body, "rope_crown_height", 1, mark="A") is not None
    assert item(body, "slot_width", 1) is not None
    # An undercut groove has no flanks to lie on, a V no slot.
    assert item(body, "seat_band_width", 1) is None
    of_v = listed(north, code="QC-1")
    assert item(of_v, "seat_band_width", 1, flank="right") is not None
    assert item(of_v, "slot_width", 1) is None


def test_half_an_hour_leaves_out_what_is_least_pressing_and_says_so(north):
    body = listed(north, "")

    assert (body["visit"], body["minutes"], body["minutes_planned"]) == (
        "ROUTINE",
        30,
        30,
    )
    assert [step["code"] for step in body["steps"]] == ROUTINE[:-1]
    assert [step["code"] for step in body["left_out"]] == ["parts"]


def test_what_was_read_lately_is_not_due_and_what_is_old_is(north):
    read(north, diameter(1, "12.9"), diameter(2, "12.9"), days=10)
    read(north, diameter(3, "12.9"), days=400, reference="v-old")

    body = listed(north)

    assert item(body, "rope_diameter", 1) is None
    old = item(body, "rope_diameter", 3)
    assert why(old) == ["INTERVAL_OVER"]
    assert old["last"]["value"] == 12.9
    assert why(item(body, "rope_diameter", 4)) == ["NEVER_READ"]


def test_one_way_of_reading_the_bottom_stands_for_the_other(north):
    depth = {"kind": "groove_bottom_depth", "groove": 1, "value": "19.1", "unit": "mm"}
    read(north, depth, days=400)

    found = item(listed(north), "groove_bottom_depth", 1)

    assert why(found) == ["INTERVAL_OVER"]
    assert found["or_kinds"] == ["bottom_clearance"]
    assert item(listed(north), "bottom_clearance", 1) is None


def test_it_is_read_again_at_the_marks_where_it_was_read(north):
    crown = {"kind": "rope_crown_height", "groove": 1, "value": "3.1", "unit": "mm"}
    read(north, crown | {"place": {"mark": "C"}}, days=400)

    body = listed(north)

    assert why(item(body, "rope_crown_height", 1, mark="C")) == ["INTERVAL_OVER"]
    assert why(item(body, "rope_crown_height", 1, mark="A")) == ["NEVER_READ"]


# --- what waits for a word ------------------------------------------------------------
def test_what_acts_as_if_true_comes_first_whatever_the_time(north):
    read(north, diameter(2, "10.9"))

    body = listed(north, "?minutes=1")

    assert [step["code"] for step in body["steps"]] == ["diameters"]
    assert (body["minutes"], body["minutes_planned"]) == (1, 5)
    found = item(body, "rope_diameter", 2)
    assert why(found) == ["UNCONFIRMED"]
    assert found["last"]["unconfirmed"] is True


def test_a_held_reading_is_taken_once_more_although_it_is_not_used(north):
    read(north, diameter(2, "14.5"))

    found = item(listed(north), "rope_diameter", 2)

    assert why(found) == ["HELD", "NEVER_READ"]
    assert found["last"] is None


def test_what_no_step_of_the_visit_asks_is_a_step_of_its_own(north):
    level = {"kind": "levelling_error", "value": "40", "unit": "mm"}
    read(north, level | {"place": {"floor": "3"}})

    body = listed(north, "?minutes=2")

    [step] = body["steps"]
    assert (step["code"], step["minutes"]) == ("once more", 2)
    assert step["items"][0]["place"] == {"floor": "3"}


# --- forecasts and findings -----------------------------------------------------------
def test_findings_and_forecasts_ask_for_what_they_lack(north):
    read(north, *(clearance(n, "1.5") for n in range(1, 6)))
    machine = look(north)
    callers.confine(north)
    assert Finding.objects.filter(machine=machine, topic="rope diameter").exists()

    body = listed(north)

    found = item(body, "rope_diameter", 1)
    assert {"NOT_ASSESSED", "NEVER_READ"} <= set(why(found))
    assert any("rope diameter was not assessed" in r["words"] for r in found["reasons"])
    assert "FORECAST_THIN" in why(found)
    assert {"NOT_ASSESSED"} <= set(why(item(body, "cwt_runby")))


def test_a_value_that_the_register_lacks_makes_no_reading_of_the_seats_due(north):
    read(
        north,
        *(clearance(n, "1.5") for n in range(1, 6)),
        *(diameter(n, "12.9") for n in range(1, 6)),
    )
    callers.confine(north)
    SheaveGeometry.objects.update(seat_radius_mm=None)
    machine = look(north)
    callers.confine(north)
    reasons = Finding.objects.filter(machine=machine, topic="traction")
    assert any("seat radius" in row.reason for row in reasons)

    body = listed(north, "?minutes=240")

    for step in body["steps"]:
        for each in step["items"]:
            if each["kind"] in ("rope_diameter", "bottom_clearance"):
                assert "NOT_ASSESSED" not in why(each), each
    assert "NOT_ASSESSED" in why(item(body, "seat_gauge_fit", 1))


def test_a_forecast_that_wants_an_early_visit_makes_its_readings_due(north):
    read(
        north,
        *(clearance(n, "1.5") for n in range(1, 6)),
        *(diameter(n, "12.9") for n in range(1, 6)),
    )
    look(north)
    callers.confine(north)
    early = Forecast.objects.filter(
        current=True, quantity="seat_depth", groove__number=2
    )
    assert early.update(visit_before_on="2026-01-01", state="ESTABLISHED") == 1

    found = item(listed(north), "bottom_clearance", 2)

    assert why(found)[0] == "FORECAST_DUE"
    assert "before 2026-01-01" in found["reasons"][0]["words"]


def test_what_a_date_rests_on_more_than_on_wear_is_asked_for(north):
    read(
        north,
        *(clearance(n, "1.5") for n in range(1, 6)),
        *(diameter(n, "12.9") for n in range(1, 6)),
    )
    look(north)
    callers.confine(north)
    resting = Forecast.objects.filter(
        current=True, quantity="seat_depth", groove__number__in=(2, 3)
    )
    assert resting.update(measure_first="rim_thickness_mm") == 2
    words = "the date of groove 2, 3 rests on it more than on further wear"

    of_rim = listed(north, "?visit=RIM_SURVEY")

    found = item(of_rim, "rim_thickness", mark="A")
    assert words in [reason["words"] for reason in found["reasons"]]
    runout = item(of_rim, "underside_runout")
    assert words in [reason["words"] for reason in runout["reasons"]]
    for reason in item(listed(north), "bottom_clearance", 2)["reasons"]:
        assert "rests on it" not in reason["words"]


def test_a_reading_comes_with_the_limit_it_was_judged_by(north):
    read(
        north,
        *(clearance(n, "0.8") for n in range(1, 6)),
        *(diameter(n, "12.9") for n in range(1, 6)),
        days=400,
    )
    look(north)

    found = item(listed(north), "bottom_clearance", 1)

    assert found["limit"]["of"] == "bottom clearance"
    assert [found["limit"][key] for key in ("judged", "value", "unit")] == [
        0.8,
        0.5,
        "mm",
    ]
    assert found["last"]["value"] == 0.8
    assert found["surprising"]["at_or_below"] == 0.5
    assert found["surprising"]["at_or_above"] == pytest.approx(0.8 + 0.636, abs=0.01)


# --- what is not known, and what would decide -----------------------------------------
def test_what_makes_a_machine_not_known_is_asked_for_rope_by_rope(north):
    read(
        north,
        *(clearance(n, "1.5") for n in range(1, 6)),
        *(diameter(n, "12.9") for n in range(1, 5)),
    )
    look(north)

    body = listed(north)
    cracks = look_at(listed(north, "?visit=CRACK_CHECK"), "crack")

    assert "CHECK_MISSED" in why(item(body, "rope_diameter", 5))
    assert item(body, "rope_diameter", 1) is None or (
        "CHECK_MISSED" not in why(item(body, "rope_diameter", 1))
    )
    assert "CHECK_MISSED" in why(look_at(body, "brake"))
    assert "CHECK_MISSED" in why(cracks)
    assert "the machine's state is not known without it: it was never read here" in [
        reason["words"] for reason in cracks["reasons"]
    ]


def test_a_check_that_grew_too_old_says_since_when(north):
    brake = {"kind": "check", "value": "pass", "place": {"part": "brake"}}
    read(north, brake, days=400)
    look(north)

    found = look_at(listed(north), "brake")

    [said] = [r for r in found["reasons"] if r["why"] == "CHECK_MISSED"]
    assert said["said"]["code"] == "due_check_old"
    assert "asked for every 12 months" in said["words"]


def test_a_look_in_passing_is_asked_for_no_traction_test(north):
    read(north, {"kind": "slip_seen", "value": "no"})
    look(north)

    assert item(listed(north), "slip_seen") is None
    test = item(listed(north, "?visit=SLIP_TEST"), "traction_test", case="125 % static")
    assert "CHECK_MISSED" in why(test)


@pytest.mark.parametrize(("rim", "is_asked"), [("SOLID_CAST", False), ("BOLTED", True)])
def test_rim_bolts_are_asked_for_where_there_may_be_any(north, rim, is_asked):
    callers.confine(north)
    Sheave.objects.update(rim_construction=rim)

    body = listed(north, "?visit=CRACK_CHECK")

    assert (look_at(body, "rim bolts") is not None) is is_asked


def opened(cast, groove, **said):
    """Let traction of a groove be open for the depth of its seat."""
    callers.confine(cast)
    rows = Finding.objects.filter(
        machine=factories.machine(cast.scope()),
        topic="traction",
        groove__number=groove,
        current=True,
    )
    assert rows.update(answer="OPEN", decides="seat_depth_mm", unknowns=[], **said) == 1


def test_the_visit_begins_with_what_a_measurement_would_decide(north):
    read(
        north,
        *(clearance(n, "1.5") for n in range(1, 6)),
        *(diameter(n, "12.9") for n in range(1, 6)),
    )
    look(north)
    before = listed(north, "?minutes=8")
    opened(north, 2, chance_beyond=0.3)

    body = listed(north, "?minutes=8")

    [arc] = [step for step in body["steps"] if step["code"] == "open arc"]
    assert "open arc" not in [step["code"] for step in before["steps"]]
    assert arc["worth"] == 0.3
    found = item(body, "bottom_clearance", 2)
    assert why(found)[0] == "OPEN"
    assert "by 30 chances in 100" in found["reasons"][0]["words"]
    assert item(body, "bottom_clearance", 3) is None or (
        "OPEN" not in why(item(body, "bottom_clearance", 3))
    )
    # A phone is told the same beside the grid.
    assert "by 30 chances in 100" in decided_on_phone(north)["bottom_clearance"]


def decided_on_phone(cast):
    """Return what a pack says that each kind would decide."""
    callers.confine(cast)
    pack = packs.make(
        scope=cast.scope("TECHNICIAN"),
        machine_ids=[factories.machine(cast.scope()).pk],
        minutes=8,
        family="METRIC",
        as_of=timezone.now(),
    )
    [routine] = [
        each for each in pack["machines"][0]["visit_kinds"] if each["kind"] == "ROUTINE"
    ]
    return {
        found["kind"]: found["decides"]
        for step in routine["steps"]
        for found in step["items"]
    }


def test_a_remote_chance_asks_for_nothing_and_a_chance_not_said_counts_as_a_half(north):
    read(
        north,
        *(clearance(n, "1.5") for n in range(1, 6)),
        *(diameter(n, "12.9") for n in range(1, 6)),
    )
    look(north)
    opened(north, 2, chance_beyond=0.001)
    remote = item(listed(north), "bottom_clearance", 2)
    opened(north, 2, chance_beyond=None)

    body = listed(north)

    assert remote is None or "OPEN" not in why(remote)
    [arc] = [step for step in body["steps"] if step["code"] == "open arc"]
    assert arc["worth"] == 0.5


# --- cautions -------------------------------------------------------------------------
def test_cautions_come_first_and_what_stops_the_machine_before_them(north):
    quiet = listed(north)["cautions"]
    read(north, {"kind": "slip_seen", "value": "yes"})
    look(north)

    stopped = listed(north)["cautions"]

    assert "lock the drive out" in quiet[0]
    assert stopped[0].startswith("Out of service until a competent person has decided")
    assert stopped[1:] == quiet
    assert "Two people" in " ".join(listed(north, "?visit=RIM_SURVEY")["cautions"])


# --- kinds of visit -------------------------------------------------------------------
def test_other_visits_that_are_due_are_named(north):
    body = listed(north)

    others = {other["visit"]: other["minutes"] for other in body["other_visits"]}
    assert others == {
        "TENSION": 15,
        "SLIP_TEST": 10,
        "BALANCE": 90,
        "RIM_SURVEY": 150,
        "HARDNESS": 10,
        "CRACK_CHECK": 15,
    }


def test_a_look_in_passing_is_no_slip_test(north):
    read(north, {"kind": "slip_seen", "value": "no"})

    assert item(listed(north), "slip_seen") is None
    assert item(listed(north, "?visit=SLIP_TEST"), "slip_seen") is not None


def test_after_work_the_list_is_the_baseline_of_the_new_parts(north):
    read(
        north,
        *(clearance(n, "1.5") for n in range(1, 6)),
        *(diameter(n, "12.9") for n in range(1, 6)),
        days=30,
    )
    day = (timezone.now() - timedelta(days=2)).date().isoformat()
    assert reports.send(north, reports.regrooving(done_on=day)).status_code == 201

    body = listed(north, "?visit=AS_LEFT")

    codes = [step["code"] for step in body["steps"]]
    assert codes == ["run-by", "diameters", "crowns", "open arc"]
    assert why(item(body, "bottom_clearance", 1)) == ["NEVER_READ", "BASELINE"]
    assert body["other_visits"] == []


# --- the door -------------------------------------------------------------------------
@pytest.mark.parametrize(
    "query",
    [
        "?minutes=0",
        "?minutes=-5",
        "?minutes=601",
        "?minutes=1_0",
        "?minutes=%D9%A1",
        "?minutes=",
        "?minutes=5&minutes=6",
        "?visit=TEA",
        "?visit=",
        "?colour=red",
    ],
)
def test_what_is_asked_oddly_is_refused(north, query):
    assert callers.is_problem(ask(north, query), 400, "parse-error")


def test_a_list_needs_as_many_queries_after_many_years(north):
    counts = []
    callers.call(north, "GET", "/api/v1/owners")
    for years in (range(1), range(1, 6)):
        for year in years:
            read(
                north,
                *(clearance(n, "1.9") for n in range(1, 6)),
                *(diameter(n, "12.9") for n in range(1, 6)),
                days=10 + 300 * year,
                reference=f"v-{year}",
            )
        look(north)
        with CaptureQueriesContext(connection) as captured:
            listed(north)
        counts.append(len(captured))

    assert counts[0] == counts[1] <= 31


def test_the_activity_gives_the_same_to_a_caller_without_http(north):
    callers.confine(north)
    machine = factories.machine(north.scope())

    found = worklist.worklist(
        scope=north.scope(),
        machine_id=machine.pk,
        visit="ROUTINE",
        minutes=None,
        as_of=factories.NOW,
    )

    assert (found.code, found.minutes) == ("MH-1", 30)
    assert found.steps
