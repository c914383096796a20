"""The summary of what the demo found."""

from pathlib import Path

from fleet.demo import findings, summary

CAUTIONS = ["It is no inspection.", "Work only by competent persons."]
PEOPLE = [
    {
        "username": "ada",
        "name": "Ada Ask",
        "role": "OFFICE",
        "password": "pw-1",
        "token": "rseat_x",
    }
]


def finding(topic, grade, **fields):
    empty = {
        "place": "",
        "value": None,
        "limit": None,
        "margin": None,
        "unit": "",
        "reason": "",
    }
    return empty | {"topic": topic, "grade": grade} | fields


def forecast(plan_before_on, **fields):
    return {
        "quantity": "seat_depth",
        "place": "groove 2",
        "plan_before_on": plan_before_on,
        "p10_on": None,
        "p90_on": None,
    } | fields


def machine(code="m-1", grade="PLAN_WORK", found=(), forecasts=(), checks=None):
    return findings.of_machine(
        machine={"code": code, "name": "Lift"},
        building="Mill House",
        condition={
            "grade": grade,
            "as_of": "2026-11-25T10:00:00Z",
            "findings": list(found),
            "checks": checks,
            "forecasts": list(forecasts),
            "cautions": CAUTIONS,
        },
    )


def text(*machines, once=True):
    return summary.text(
        found=machines,
        people=PEOPLE,
        reports=[Path("/reports/mill-house.pdf")],
        address="http://127.0.0.1:8000",
        folder=Path("/state"),
        once=once,
    )


def test_one_line_for_each_topic_with_its_worst_place():
    said = machine(
        found=[
            finding("traction", "PLAN_WORK", place="groove 1", margin=0.2),
            finding("traction", "PLAN_WORK", place="groove 4", margin=0.03),
            finding("rope tension", "ACT_NOW", place="rope 2"),
            finding("rim metal", "IN_ORDER"),
        ]
    )

    assert [f["place"] for f in said.matters] == ["rope 2", "groove 4"]


def test_numbers_are_shown_where_the_reason_has_none():
    said = text(
        machine(
            found=[
                finding(
                    "tension swing",
                    "PLAN_WORK",
                    place="rope 5",
                    value=0.209,
                    limit=0.17,
                    reason="the grooves feed unequally",
                )
            ]
        )
    )

    assert "tension swing, rope 5: the grooves feed unequally" in said
    assert "(0.209, limit 0.17)" in said


def test_earliest_forecast_is_shown_with_its_span():
    said = text(
        machine(
            forecasts=[
                forecast("2029-01-01"),
                forecast("2027-02-11", p10_on="2027-05-31", p90_on="2028-12-09"),
            ]
        )
    )

    folded = " ".join(said.split())
    assert "plan before 2027-02-11 (how deep the ropes have sunk, groove 2; " in folded
    assert "80 % of forecasts reach the limit between 2027-05-31 and 2028-12-09" in (
        folded
    )
    assert "2029-01-01" not in said


def test_date_that_has_passed_is_said():
    said = text(machine(forecasts=[forecast("2026-10-31")]))

    assert "plan before 2026-10-31, which has passed" in said


def test_far_date_of_a_machine_in_order_is_left_out():
    said = text(machine(grade="IN_ORDER", forecasts=[forecast("2040-01-01")]))

    assert "nothing found  m-1: Lift, Mill House" in said
    assert "2040" not in said


def test_what_was_not_assessed_is_named():
    gaps = [
        finding("traction", "NOT_ASSESSED", reason="missing: car mass"),
        finding("traction", "NOT_ASSESSED", reason="missing: balance"),
        finding("rim metal", "NOT_ASSESSED", reason="missing: survey"),
    ]

    said = text(machine(grade="NOT_ASSESSED", found=gaps))

    assert "NOT KNOWN      m-1" in said
    assert "not assessed: traction, rim metal\n" in said


def test_machine_without_any_assessment_is_not_assessed():
    assert machine(grade=None).grade == "NOT_ASSESSED"


def test_unknown_stands_before_a_machine_to_keep_an_eye_on():
    order = sorted(findings.MOST_URGENT_FIRST, key=findings.rank)

    assert order.index("NOT_ASSESSED") < order.index("KEEP_AN_EYE_ON")


def test_cautions_are_said_once():
    said = text(machine("m-1"), machine("m-2"))

    assert said.count(CAUTIONS[0]) == 1
    assert said.count(CAUTIONS[1]) == 1


def test_doors_are_shown_only_while_they_are_open():
    serving, stopped = text(machine(), once=False), text(machine(), once=True)

    assert "http://127.0.0.1:8000/" in serving
    assert "pw-1" in serving
    assert "Ctrl-C" in serving
    assert "http://" not in stopped
    assert "pw-1" not in stopped


def test_files_and_the_way_to_begin_anew_are_named():
    said = text(machine())

    assert "/reports/mill-house.pdf" in said
    assert "--fresh" in said


def test_lines_fit_a_terminal():
    said = text(
        machine(found=[finding("traction", "PLAN_WORK", reason="word " * 60)]),
        once=False,
    )

    assert max(len(line) for line in said.splitlines()) <= summary.WIDTH


def test_checks_that_were_not_made_are_counted_and_named():
    missed = [
        {"check": "crack", "place": "crack", "last_on": "2025-09-18"},
        {"check": "rope_tension", "place": "rope 1", "last_on": None},
        {"check": "rope_tension", "place": "rope 2", "last_on": None},
    ]
    short = {"made": 36, "of": 39, "missed": missed}
    whole = {"made": 34, "of": 34, "missed": []}

    said = " ".join(
        text(
            machine(grade="NOT_ASSESSED", checks=short),
            machine(code="m-2", grade="IN_ORDER", checks=whole),
        ).split()
    )

    assert (
        "checks made: 36 of 39; not, or too long ago: crack (last on 2025-09-18), "
        "rope tension" in said
    )
    assert "nothing found m-2: Lift, Mill House checks made: 34 of 34 " in said


def test_a_machine_out_of_service_heads_the_list():
    ranks = [findings.rank(grade) for grade in summary.GRADES]

    assert "OUT OF SERVICE m-1: Lift" in text(machine(grade="STOPPED"))
    assert ranks == list(range(len(ranks)))


def test_everybody_has_a_line_with_password_and_what_to_look_at():
    everybody = [
        PEOPLE[0] | {"role": role, "username": role.lower(), "password": f"pw-{role}"}
        for role in summary.ROLES
    ]

    said = summary.text(
        found=[machine()],
        people=everybody,
        reports=[],
        address="http://127.0.0.1:8000",
        folder=Path("/state"),
        once=False,
    )

    folded = " ".join(said.split())
    for person in everybody:
        assert f"{person['username']}, password {person['password']}" in folded
        assert summary.LOOK_AT[person["role"]] in folded
