"""Findings of masses read otherwise than registered, worked out by their own."""

from inspections import worked
from inspections.assessment.assessing import judge
from inspections.json_records import plain
from inspections.reasons import Topic
from tests.inspections.assessment.snapshots import V, snapshot, take
from tests.inspections.assessment.test_disagreeing import bands
from tests.inspections.assessment.test_traction_tests import FULL, run

MACHINE = {"wrap_angle_deg": 104.0, "balance_ratio": 0.44}


def told():
    """Return the findings with a number, some by the register and some by readings."""
    passed = [run(case) for case in FULL]
    read = (take("balance_load", 0.66), take("car_mass", 1500.0))
    drafts, _, shared = judge(
        snapshot(*bands(1.5), *passed, *read, machine=MACHINE, geometry=V)
    )
    cases = {d.place: d.detail["cases"] for d in drafts if "cases" in d.detail}
    return [
        worked.Told(
            topic=str(draft.topic),
            rule=str(draft.rule or ""),
            value=draft.value,
            limit=draft.limit,
            margin=draft.margin,
            unit=draft.unit,
            detail=plain(draft.detail),
            unknowns=plain(draft.over.unknowns) if draft.over else (),
            shared=plain(shared),
            cases=plain(cases.get(draft.place, ())),
        )
        for draft in drafts
        if draft.value is not None
    ]


def masses(each):
    return {
        (number.symbol, number.value)
        for part in worked.of(each).parts
        for line in part.lines
        for number in line.numbers
        if number.symbol == "P"
    }


def test_each_is_worked_out_by_the_masses_that_it_was_judged_with():
    found = told()

    traction = [
        f for f in found if f.topic.startswith("traction") and "slip" not in f.topic
    ]
    assert any("supposed" in f.detail for f in traction)
    assert any("supposed" not in f.detail for f in traction)
    for each in traction:
        if each.topic != str(Topic.TRACTION_TOGETHER):
            assert worked.of(each).is_whole, (each.topic, each.detail.get("case"))


def test_the_safety_factor_is_worked_out_by_the_heavier_car():
    [each] = [f for f in told() if f.topic == str(Topic.SAFETY_FACTOR)]

    assert worked.of(each).is_whole
    assert masses(each) == {("P", 1500.0)}
