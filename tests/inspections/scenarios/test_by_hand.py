"""The three machines of docs/designer.md, worked out by formulas of their own."""

from dataclasses import replace
from math import asin, atan2, cos, degrees, exp, hypot, log, pi, radians, sin
from pathlib import Path

import pytest

from inspections.engineering import sheave_load
from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.groove import RoundGroove, UndercutGroove
from inspections.engineering.traction.rules import EN_81_50
from inspections.engineering.traction_course import traction_course
from inspections.engineering.wrap import wrap_from_geometry

DOCUMENT = Path(__file__).parents[3] / "docs/designer.md"
G = 9.81
MU_BRAKING = 0.1 / (1.0 + 1.6 / 10.0)
ALPHA = radians(165.0)
ROPES_KG_M = 5 * 0.5746
HUNG = replace(EXAMPLE_MACHINE, sheave_diameter_mm=600.0)


def said(value, digits):
    """Return a number as the document has it, and hold that it is there."""
    text = f"{value:.{digits}f}".replace("-", "−")
    assert text in DOCUMENT.read_text("utf-8"), text
    return value


def factor(beta_deg, mouth_deg):
    """f/μ by quadrature over the arc of a fitted seat, pressure by the cosine."""
    low, high = radians(beta_deg / 2), pi / 2 - radians(mouth_deg / 2)
    steps = 20_000
    at = [low + (high - low) * (n + 0.5) / steps for n in range(steps)]
    return sum(map(cos, at)) / sum(cos(t) ** 2 for t in at)


def undercut(beta_deg):
    return UndercutGroove(
        seat_radius_mm=6.9,
        mouth_angle_rad=radians(30.0),
        undercut_angle_rad=radians(beta_deg),
        bottom_clearance_mm=4.0,
    )


def test_an_undercut_angle_chosen():
    ropes_kg = said(ROPES_KG_M * 30.0, 2)
    t1 = said((1650.0 + ropes_kg) * (G + 0.5), 1)
    t2 = said(1200.0 * (G - 0.5), 1)
    said(log(said(t1 / t2, 4)), 5)
    said(ALPHA, 6)
    needed = said(log(t1 / t2) / (said(MU_BRAKING, 7) * ALPHA), 4)

    for beta, margin in ((90, -0.0036), (91, 0.0045), (93, 0.0208), (95, 0.0372)):
        by_hand = 1.0 - needed / factor(beta, 30.0)
        found = traction_course(
            suspension=HUNG, groove=undercut(beta), rules=EN_81_50
        ).cases[2]
        assert found.least_margin == pytest.approx(by_hand, abs=1e-6)
        assert said(by_hand, 4) == pytest.approx(margin, abs=5e-5)
    for beta in (90, 91, 95):
        said(factor(beta, 30.0), 4)
    assert 1.0 - needed / factor(92, 30.0) < 0.02 < 1.0 - needed / factor(93, 30.0)


def test_a_stalled_case_mended_by_compensation():
    small = replace(HUNG, car_mass_kg=600.0, rated_load_kg=500.0, travel_m=60.0)
    ropes_kg = said(ROPES_KG_M * 60.0, 2)
    bedded_deg = said(degrees(2 * asin(6.9 * sin(radians(47.5)) / 6.5)), 3)
    greatest = said(factor(bedded_deg, 0.0), 4)
    held = said(exp(0.2 * greatest * ALPHA), 4)

    for comp, t1, margin in ((0.0, 5886.0, -0.0798), (ROPES_KG_M, 7577.0, 0.1065)):
        pull = said((600.0 + comp * 60.0) * G, 1)
        assert pull == pytest.approx(t1, abs=0.05)
        ratio = said(pull / (ropes_kg * G), 4)
        by_hand = log(ratio) / log(held) - 1.0
        course = traction_course(
            suspension=replace(small, compensation_kg_per_m=comp),
            groove=undercut(95.0),
            rules=EN_81_50,
        )
        assert course.cases[3].least_margin == pytest.approx(by_hand, abs=1e-6)
        assert said(by_hand, 4) == pytest.approx(margin, abs=5e-5)
        said(course.cases[2].least_margin, 4)


def test_double_wrap_against_another_form():
    apart = said(hypot(400.0, 900.0), 2)
    lean = asin(50.0 / apart)
    said(degrees(lean), 3)
    said(degrees(atan2(400.0, 900.0)), 3)
    first = pi - atan2(400.0, 900.0) + lean
    second = pi + 2.0 * lean
    for angle in (first, second, first + second):
        said(degrees(angle), 3)
    need = log(17900.1189 / 11172.0) / MU_BRAKING
    car_n, other_n = said((2200.0 + ROPES_KG_M * 30.0) * G, 1), said(1650.0 * G, 1)

    shaft = []
    for double, groove, k, total in (
        (False, undercut(95.0), factor(95.0, 30.0), first),
        (
            True,
            RoundGroove(seat_radius_mm=6.9, mouth_angle_rad=radians(30.0)),
            said(factor(0.0, 30.0), 4),
            first + second,
        ),
    ):
        wrap = wrap_from_geometry(
            sheave_diameter_mm=600.0,
            pulley_diameter_mm=500.0,
            offset_x_mm=400.0,
            drop_h_mm=900.0,
            double=double,
        )
        course = traction_course(
            suspension=replace(HUNG, wrap=wrap), groove=groove, rules=EN_81_50
        )
        by_hand = said(1.0 - need / (k * total), 4)
        assert course.cases[2].margins[0] == pytest.approx(by_hand, abs=1e-6)
        shaft.append(sheave_load.shaft_load(car_n=car_n, other_n=other_n, wrap=wrap))

    single = (car_n**2 + other_n**2 - 2 * car_n * other_n * cos(first)) ** 0.5
    assert shaft[0].most_n == pytest.approx(said(single, 1))
    for between, found in ((other_n, shaft[1].least_n), (car_n, shaft[1].most_n)):
        assert found == pytest.approx(said(_summed(first, lean, between), 1))


def _summed(first, lean, between):
    """Add the pulls of a double wrap by their components."""
    out = pi - first
    parts = [
        (22427.5239, 0.0),
        (between, out),
        (between, out + 2.0 * lean),
        (16186.5, out),
    ]
    return hypot(
        sum(size * cos(at) for size, at in parts),
        sum(size * sin(at) for size, at in parts),
    )
