"""The three invented machines of docs/decisions.md, to the digit.

Status: derived. Each number is worked out here by hand's arithmetic from what was read,
without the code under test, and must also stand in the document.
"""

from datetime import date, timedelta
from math import cos, erfc, log, pi, radians, sin, sqrt, tan
from pathlib import Path

import pytest

from inspections.decisions import comparison, options, thresholds
from inspections.decisions.records import OptionKind, Possible, exactly
from inspections.engineering.traction import LoadCase
from tests.inspections.decisions import worked

DOCUMENT = (Path(__file__).parents[3] / "docs" / "decisions.md").read_text("utf-8")


def of(facts):
    found = options.work_out(
        facts=facts,
        rates=worked.RATES,
        lead_times=worked.LEADS,
        thresholds=thresholds.DEFAULTS,
        as_of=worked.AS_OF,
    )
    return {option.kind: option for option in found}


def printed(number, digits):
    """Return a number as the document prints it; fail if it does not."""
    text = f"{number:,.{digits}f}"
    assert text in DOCUMENT
    return pytest.approx(number, abs=0.5 * 10**-digits)


def section(number):
    return DOCUMENT.split(f"### Machine {number}")[1].split("\n## ")[0]


class TestACutThatFits:
    def test_depth_diameter_ratio_and_speed_after_the_cut(self):
        found = of(worked.FIRST)[OptionKind.REGROOVE_IN_SHOP]

        depth = 1.40 + 1.60
        assert found.cut.cut_depth_mm == printed(depth, 2)
        assert found.pitch_diameter_after_mm == printed(600.0 - 2 * depth, 1)
        assert found.diameter_ratio_after == printed(594.0 / 13.0, 2)
        assert found.speed_after_m_s == printed(1.6 * 594.0 / 600.0, 3)

    def test_the_thinnest_groove_keeps_enough_in_the_worst_case(self):
        found = of(worked.FIRST)[OptionKind.REGROOVE_IN_SHOP]

        taper = 103.0 * tan(radians(1.0))
        nominal = 58.0 - taper - 0.8 / 2 - 28.0 - 3.0
        worst = 58.0 - 2 * 0.2 - taper - 0.8 - 28.0 - 2 * 0.1 - 3.0 - 2 * 0.05
        thinnest = found.cut.grooves[4]
        assert found.cut.thinnest == 5
        assert thinnest.metal_mm == printed(nominal, 2)
        assert thinnest.metal_worst_mm == printed(worst, 2)
        assert found.possible is Possible.YES
        assert found.probability_possible == pytest.approx(1.0, abs=1e-12)

    def test_one_further_cut_fits(self):
        found = of(worked.FIRST)[OptionKind.REGROOVE_IN_SHOP]

        spare = min(23.70 - 18.0, (594.0 - 560.0) / 2)
        assert found.cut.further_cuts == int(spare // 3.0) == 1
        assert not found.is_pointless

    def test_traction_when_loading_with_the_seats_as_turned(self):
        found = of(worked.FIRST)[OptionKind.REGROOVE_IN_SHOP]

        beta, gamma = radians(95.0), radians(30.0)
        factor = 4 * (cos(gamma / 2) - sin(beta / 2))
        factor /= pi - beta - gamma - sin(beta) + sin(gamma)
        held = 0.1 * factor * radians(165.0)
        ropes = 5 * 0.5746 * 30.0
        ratio = (1200.0 + 1.25 * 1000.0 + ropes) / (1200.0 + 0.45 * 1000.0)
        loading = next(m for m in found.margins if m.case is LoadCase.LOADING)
        assert loading.after == printed(1.0 - log(ratio) / held, 3)

    def test_cost_and_days(self):
        found = of(worked.FIRST)

        place, shop = (
            found[OptionKind.REGROOVE_IN_PLACE],
            found[OptionKind.REGROOVE_IN_SHOP],
        )
        ropes = 5 * 82 * 9.50
        assert place.cost.mid == printed(40 * 90 + ropes + 2400, 0)
        assert shop.cost.mid == printed(56 * 90 + ropes + 1700 + 1600, 0)
        order_by = date(2027, 9, 15) - timedelta(days=max(42, 30) + 14)
        assert place.order_by_on == order_by == date(2027, 7, 21)
        assert "2027-07-21" in section(1)
        assert place.rank == 1
        assert place.recommended


class TestACutThatDoesNotFitBecauseOfDraftAndRunOut:
    def test_where_the_calliper_fits_there_seems_to_be_enough(self):
        assert printed(52.0 - 28.0 - 3.0, 1) == 21.0

    def test_only_the_groove_beside_the_calliper_keeps_the_minimum(self):
        found = of(worked.SECOND)[OptionKind.REGROOVE_IN_SHOP]

        for groove, axial in zip(found.cut.grooves, worked.AXIAL_MM, strict=True):
            taper = axial * tan(radians(1.5))
            worst = 52.0 - 0.4 - taper - 1.4 - 28.0 - 0.2 - 3.0 - 0.1
            assert groove.metal_worst_mm == printed(worst, 2)
        kept = [g.number for g in found.cut.grooves if g.metal_worst_mm >= 18.0]
        assert kept == [1]
        assert found.possible is Possible.NO

    def test_the_chance_that_it_fits_all_the_same(self):
        found = of(worked.SECOND)[OptionKind.REGROOVE_IN_SHOP]

        nominal = 52.0 - 103.0 * tan(radians(1.5)) - 0.7 - 28.0 - 3.0
        sd = sqrt(0.2**2 + 0.7**2 / 2 + 0.1**2 + 0.05**2)
        too_thin = 0.5 * erfc((nominal - 18.0) / sd / sqrt(2.0))
        assert found.probability_possible == printed(1.0 - too_thin, 3)

    def test_the_sheave_is_to_be_replaced_and_the_machine_stands(self):
        found = of(worked.SECOND)

        first = found[OptionKind.REPLACE_SHEAVE]
        assert first.rank == 1
        assert first.recommended
        assert first.out_of_service
        assert first.cost.mid == printed(60 * 90 + 5 * 82 * 9.5 + 5200 + 1600, 0)
        assert first.plan_before_on == worked.AS_OF
        assert first.order_by_on == worked.AS_OF - timedelta(days=140 + 14)
        assert found[OptionKind.WATCH].possible is Possible.NO


class TestReRopingAloneFailsWithinTwoYears:
    def test_new_ropes_would_not_have_served(self):
        found = of(worked.THIRD)[OptionKind.RE_ROPE]

        years = (date(2027, 6, 30) - worked.AS_OF).days / 365.25
        assert years == printed(years, 2)
        assert years < 2.0
        assert found.is_pointless
        assert "2027-06-30" in found.pointless_because[0].text

    def test_the_cut_with_new_ropes_comes_first(self):
        found = of(worked.THIRD)

        assert found[OptionKind.REGROOVE_IN_PLACE].rank == 1
        assert found[OptionKind.REGROOVE_IN_PLACE].recommended
        assert found[OptionKind.RE_ROPE].rank > found[OptionKind.REGROOVE_IN_PLACE].rank

    def test_four_years_of_both_courses_cost_what_the_sum_says(self):
        found = of(worked.THIRD)

        compared = comparison.compare(
            options=tuple(found.values()),
            facts=worked.THIRD,
            thresholds=thresholds.DEFAULTS,
            as_of=worked.AS_OF,
            seed=7,
            horizon_years=4.0,
            day_out=exactly(0.0),
        )
        cost = {c.kind: c.cost_mean + c.left_mean for c in compared.courses}
        ropes = 24 * 90 + 5 * 82 * 9.5
        cut = 40 * 90 + 5 * 82 * 9.5 + 2400
        assert cost[OptionKind.RE_ROPE] == printed(ropes + cut, 0)
        assert cost[OptionKind.REGROOVE_IN_PLACE] == printed(cut, 0)
        assert compared.cheapest is OptionKind.REGROOVE_IN_PLACE
        visits = {course.kind: course.visits_mean for course in compared.courses}
        assert visits[OptionKind.RE_ROPE] == 4.0
        assert visits[OptionKind.REGROOVE_IN_PLACE] == 2.0
