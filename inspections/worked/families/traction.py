"""Traction: T1/T2 of each load case against what friction and wrap hold."""

from collections.abc import Iterator, Mapping
from typing import Any

from inspections.assessment import basis
from inspections.engineering.suspension import (
    Suspension,
    TractionRules,
    assess_groove,
)
from inspections.engineering.traction import LoadCase
from inspections.engineering.validity import OutsideValidity
from inspections.json_records import plain
from inspections.json_records import read as read_record
from inspections.worked.families import forces, friction
from inspections.worked.records import Line, Number, WorkedLines
from inspections.worked.told import Told, of_rules, worked


def parts(told: Told) -> list[WorkedLines]:
    """Return each load case of the finding, the one that decides first."""
    cases = list(told.detail.get("cases", ()))
    if not cases and "own_case" in told.detail:
        cases = [told.detail["own_case"]]
    own = told.detail.get("worst") or told.detail.get("case")
    hung, rules = _machine(told)
    if not cases:
        cases = [case for case in told.cases if case["tensions"]["case"] == own]
    if not cases:
        again = _again(told, hung, rules)
        cases = [case for case in again if case["tensions"]["case"] == own]
    cases.sort(key=lambda case: case["tensions"]["case"] != own)
    return [
        WorkedLines(
            name=f"case_{case['tensions']['case'].lower()}",
            lines=tuple(_lines(told, case, hung, rules)),
        )
        for case in cases
    ]


def _machine(told: Told) -> tuple[Suspension | None, TractionRules | None]:
    """Return masses and rules as they were used; None where another shape is stored."""
    stored = told.detail.get("supposed") or told.shared.get("suspension")
    try:
        rules = read_record(TractionRules | None, told.shared.get("rules"))
        return read_record(Suspension | None, stored), rules
    except (KeyError, TypeError, ValueError):
        found = basis.from_shared(told.shared)
        return (found.suspension, found.rules) if found else (None, None)


def _again(
    told: Told, hung: Suspension | None, rules: TractionRules | None
) -> list[Mapping[str, Any]]:
    """Return the load cases by today's formulas, where none are stored."""
    found = basis.from_shared(told.shared)
    depths = told.detail.get("seat_depths_mm")
    if found is None or found.groove is None or not (hung and rules and depths):
        return []
    try:
        made = assess_groove(
            suspension=hung,
            groove=found.groove,
            seat_depths_mm=tuple(depths),
            seat_depth_sd_mm=told.detail["seat_depth_sd_mm"],
            rules=rules,
        )
    except OutsideValidity:
        return []
    cases: list[Mapping[str, Any]] = plain(made.cases)
    return cases


def _lines(
    told: Told,
    case: Mapping[str, Any],
    hung: Suspension | None,
    rules: TractionRules | None,
) -> Iterator[Line]:
    pull = case["tensions"]
    which = LoadCase(pull["case"])
    if hung is not None and rules is not None:
        yield from forces.of_case(told, pull, hung, rules)
    t1 = worked("T1", "greater_force", pull["t1_n"], "N")
    t2 = worked("T2", "smaller_force", pull["t2_n"], "N")
    factor = case["dynamic_factor"]
    asked = factor * pull["t1_n"] / pull["t2_n"]
    yield Line(
        symbol="r",
        name="tension_ratio",
        value=asked,
        formula="phi*T1/T2" if factor != 1.0 else "T1/T2",
        numbers=(t1, t2)
        if factor == 1.0
        else (of_rules("phi", "dynamic_factor", factor), t1, t2),
    )
    mu = case["friction_coefficient"]
    if rules is not None and which.is_braking and rules.braking_speed_m_s and hung:
        yield Line(
            symbol="mu",
            name="friction_coefficient",
            value=mu,
            formula="mu0/(1+v/v0)",
            numbers=(
                of_rules("mu0", "friction_at_rest", rules.mu_braking_base),
                told.registered("v", "rope_speed_m_s", hung.rope_speed_m_s, "m/s"),
                of_rules("v0", "friction_speed", rules.braking_speed_m_s, "m/s"),
            ),
        )
        coefficient = worked("mu", "friction_coefficient", mu)
    else:
        coefficient = of_rules("mu", "friction_coefficient", mu)
    if hung is None:
        return
    yield from _factors(told, case, hung, which)
    yield from _held(told, case, hung, coefficient, asked, which)


def _factors(
    told: Told, case: Mapping[str, Any], hung: Suspension, which: LoadCase
) -> Iterator[Line]:
    """Yield the friction factor of each seat, from where its rope bears."""
    found = basis.from_shared(told.shared)
    cut = found.groove if found else None
    ratios, depths = case["factor_ratios"], told.detail.get("seat_depths_mm", ())
    if cut is None or len(depths) != len(ratios):
        return
    for at, (ratio, depth_mm) in enumerate(zip(ratios, depths, strict=True), 1):
        yield from friction.of_seat(
            groove=cut,
            rope_diameter_mm=hung.rope_diameter_mm,
            seat_depth_mm=depth_mm,
            ratio=ratio,
            is_greatest=which.is_stalled,
            symbol=f"k{at}" if len(ratios) > 1 else "k",
        )


def _held(
    told: Told,
    case: Mapping[str, Any],
    hung: Suspension,
    coefficient: Number,
    asked: float,
    which: LoadCase,
) -> Iterator[Line]:
    ratios, angles = case["factor_ratios"], hung.wrap.angles_rad
    numbers: list[Number] = [coefficient]
    terms = []
    several = len(ratios) > 1
    for at, (ratio, angle) in enumerate(zip(ratios, angles, strict=True), 1):
        mark = str(at) if several else ""
        terms.append(f"k{mark}*alpha{mark}")
        name = "greatest_friction_ratio" if which.is_stalled else "friction_ratio"
        numbers += [
            worked(f"k{mark}", name, ratio),
            told.registered(f"alpha{mark}", "wrap_angle", angle, "rad"),
        ]
    total = coefficient.value * sum(
        ratio * angle for ratio, angle in zip(ratios, angles, strict=True)
    )
    whole = f"mu*({'+'.join(terms)})" if several else f"mu*{terms[0]}"
    yield Line(
        symbol="E",
        name="friction_over_wrap",
        value=total,
        formula=whole,
        numbers=tuple(numbers),
    )
    exponent = worked("E", "friction_over_wrap", total)
    yield Line(
        symbol="r_held",
        name="ratio_held",
        value=case["limit_ratio"],
        formula="exp(E)",
        numbers=(exponent,),
    )
    yield Line(
        symbol="u",
        name="friction_used",
        value=case["utilisation"],
        formula="ln(r)/E",
        numbers=(worked("r", "tension_ratio", asked), exponent),
    )
    yield Line(
        symbol="m",
        name="margin",
        value=case["margin"],
        formula="u-1" if which.is_stalled else "1-u",
        numbers=(worked("u", "friction_used", case["utilisation"]),),
    )
