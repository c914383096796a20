from dataclasses import replace
from datetime import date, timedelta
from math import isnan

import numpy as np
import pytest

from inspections.decisions import thresholds
from inspections.decisions.future import following, groups, lives
from inspections.decisions.future.answers import KINDS, NUMBER, Answers
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.groups import Future
from inspections.decisions.future.wearing import EndsTogether
from inspections.decisions.records import OptionKind
from tests.inspections.decisions.machines import ahead

AS_OF = date(2026, 1, 1)
SHARP = {
    "rate_spread": 0.05,
    "wear_unevenness": 0.02,
    "shared_on_machine": 0.0,
    "shared_in_class": 0.0,
}


def limit(quantity, due, *, life, place=""):
    """Return a limit that is met in so many years, give or take some days."""

    def on(years):
        return AS_OF + timedelta(days=round(365.25 * years))

    return ahead(
        quantity,
        place,
        plan=on(due * 0.98),
        p10_on=on(due * 0.99),
        p50=on(due),
        p90=on(due * 1.01),
        last_on=AS_OF,
        limit=life,
        rate_per_year=1.0,
    )


def works(*limits, chosen=None, in_years=0.0, cuts=1, horizon=15.0, cut=True):
    found = [
        (round(years), KINDS[kind])
        for draw, years, kind, _ in followed(
            *limits,
            chosen=chosen,
            in_years=in_years,
            cuts=cuts,
            horizon=horizon,
            cut=cut,
        )
        if draw == 0
    ]
    return sorted(found)


def followed(
    *limits,
    chosen=None,
    in_years=0.0,
    cuts=1,
    horizon=15.0,
    cut=True,
    leads=None,
    stands=False,
    **changes,
):
    """Return (draw, years, kind, years stood) of each work."""
    future = Future(
        machine_key=1,
        limits=lives.grouped(limits),
        answers=Answers(
            cut=OptionKind.REGROOVE_IN_SHOP if cut else None,
            cuts=cuts if cut else 0,
            renewal=OptionKind.REPLACE_SHEAVE,
        ),
        chosen=chosen,
        chosen_years=in_years,
        lead_years=leads or {},
        stands=stands,
    )
    given = thresholds.changed(changes=SHARP | changes)
    return [
        each
        for batch in following.Following(
            groups.Followed(
                futures=(future,),
                deviates=Deviates(seed=1, draws=100, thresholds=given),
                thresholds=given,
                as_of=AS_OF,
            )
        ).works(horizon)
        for each in zip(batch.draw, batch.years, batch.kind, batch.stood, strict=True)
    ]


def test_ropes_are_renewed_as_they_end():
    found = works(limit("diameter_loss", 3.0, life=7.0))

    assert found == [(3, OptionKind.RE_ROPE), (10, OptionKind.RE_ROPE)]


def test_grooves_are_cut_as_often_as_it_fits_and_then_the_sheave_is_replaced():
    found = works(limit("seat_depth", 2.0, life=4.0), cuts=2)

    assert [kind for _, kind in found] == [
        OptionKind.REGROOVE_IN_SHOP,
        OptionKind.REGROOVE_IN_SHOP,
        OptionKind.REPLACE_SHEAVE,
        OptionKind.REGROOVE_IN_SHOP,
    ]


def test_without_a_known_cut_the_sheave_is_replaced_each_time():
    found = works(limit("seat_depth", 2.0, life=6.0), cut=False)

    assert {kind for _, kind in found} == {OptionKind.REPLACE_SHEAVE}


def test_a_cut_renews_the_ropes_too():
    found = works(
        limit("seat_depth", 4.0, life=20.0), limit("diameter_loss", 6.0, life=8.0)
    )

    assert found == [(4, OptionKind.REGROOVE_IN_SHOP), (12, OptionKind.RE_ROPE)]


def test_what_is_due_within_a_year_is_done_at_one_stop():
    found = works(
        limit("seat_depth", 4.5, life=20.0),
        limit("diameter_loss", 4.0, life=20.0),
        limit("counterweight_runby", 3.9, life=20.0),
    )

    assert found == [(4, OptionKind.REGROOVE_IN_SHOP)]


def test_stretched_ropes_are_shortened():
    found = works(
        limit("counterweight_runby", 2.0, life=5.0),
        limit("diameter_loss", 12.4, life=9.0),
    )

    assert found == [
        (2, OptionKind.SHORTEN),
        (7, OptionKind.SHORTEN),
        (12, OptionKind.RE_ROPE),
    ]


def test_a_chosen_work_is_done_on_its_day_and_replaces_the_next():
    found = works(
        limit("diameter_loss", 5.0, life=9.0), chosen=OptionKind.RE_ROPE, in_years=2.0
    )

    assert found == [(2, OptionKind.RE_ROPE), (11, OptionKind.RE_ROPE)]


def test_a_chosen_cut_counts_as_one_of_those_that_fit():
    found = works(
        limit("seat_depth", 9.0, life=6.0), chosen=OptionKind.REGROOVE_IN_PLACE
    )

    assert [kind for _, kind in found] == [
        OptionKind.REGROOVE_IN_PLACE,
        OptionKind.REPLACE_SHEAVE,
        OptionKind.REGROOVE_IN_SHOP,
    ]


def test_a_chosen_work_waits_for_its_day_where_something_lesser_comes_first():
    found = works(
        limit("counterweight_runby", 1.0, life=30.0),
        limit("diameter_loss", 9.0, life=30.0),
        chosen=OptionKind.RE_ROPE,
        in_years=4.0,
    )

    assert found == [(1, OptionKind.SHORTEN), (4, OptionKind.RE_ROPE)]


def test_a_greater_work_before_its_day_takes_a_chosen_one_in():
    found = works(
        limit("seat_depth", 2.0, life=30.0),
        limit("diameter_loss", 9.0, life=30.0),
        chosen=OptionKind.RE_ROPE,
        in_years=5.0,
    )

    assert found == [(2, OptionKind.REGROOVE_IN_SHOP)]


@pytest.mark.parametrize("in_years", [3.0, 20.0])
def test_work_that_renews_nothing_is_done_once_within_the_horizon(in_years):
    found = works(
        limit("diameter_loss", 40.0, life=30.0),
        chosen=OptionKind.EQUALISE,
        in_years=in_years,
    )

    assert found == ([(3, OptionKind.EQUALISE)] if in_years < 15.0 else [])


def test_nothing_falls_on_or_after_the_horizon():
    assert works(limit("diameter_loss", 3.0, life=1.5), horizon=2.5) == []


def test_more_works_than_a_horizon_can_hold_are_an_error(monkeypatch):
    monkeypatch.setattr(following, "MOST_WORKS", 3)

    with pytest.raises(ArithmeticError, match="more than 3 works in 15 years"):
        works(limit("diameter_loss", 0.5, life=0.5))


ROPE = NUMBER[OptionKind.RE_ROPE]
# Of such spread that some limits are reached long before their plan.
WIDE = replace(
    limit("diameter_loss", 6.0, life=9.0),
    plan_before_on=None,
    p02_on=date(2028, 1, 1),
    p10_on=date(2029, 1, 1),
    p90_on=date(2040, 1, 1),
    level=0.0,
)
LEAD = {OptionKind.RE_ROPE: 0.5, OptionKind.REPLACE_SHEAVE: 1.0}


def test_work_is_done_when_it_is_told_and_not_when_the_limit_is_met():
    """Nothing more is read before the order, so that today's P2 is what is told."""
    told = limit("diameter_loss", 2.0, life=50.0)
    told = replace(
        told, plan_before_on=date(2026, 10, 1), p02_on=date(2026, 10, 1), level=49.0
    )

    found = followed(told, leads=LEAD | {OptionKind.RE_ROPE: 0.75}, horizon=5.0)

    assert [kind for _, _, kind, _ in found] == [ROPE] * 100
    assert {round(years, 2) for _, years, _, _ in found} == {0.75}
    # Some limits are reached before P2.
    assert 0 < sum(stood > 0.0 for *_, stood in found) < 10


def test_a_machine_stands_where_the_limit_is_met_before_the_work_can_come():
    near = limit("diameter_loss", 0.2, life=50.0)

    found = followed(near, leads=LEAD, horizon=5.0)

    assert {round(years, 6) for _, years, _, _ in found} == {0.5}
    stood = [each for *_, each in found]
    assert sum(stood) / 100 == pytest.approx(0.3, abs=0.005)


def test_a_limit_met_unforeseen_stands_no_longer_than_the_lead_time():
    found = followed(WIDE, leads=LEAD, horizon=40.0, wear_unevenness=0.6)

    stood = [each for *_, each in found if each > 0.0]
    assert 0 < len(stood) < len(found) / 10
    assert max(stood) <= 0.5 + 1e-9


def test_a_limit_that_is_none_of_safety_lets_no_machine_stand():
    near = replace(limit("diameter_loss", 0.2, life=50.0), safety=False)

    found = followed(near, leads=LEAD, horizon=5.0)

    assert {round(years, 6) for _, years, _, _ in found} == {0.5}
    assert {stood for *_, stood in found} == {0.0}


def test_without_a_lead_time_nobody_knows_how_long_a_machine_stands():
    found = followed(WIDE, horizon=40.0, wear_unevenness=0.6)

    unknown = [isnan(stood) for *_, stood in found]
    assert 0 < sum(unknown) < len(found) / 10
    assert all(stood == 0.0 for *_, stood in found if not isnan(stood))


def test_a_stopped_machine_stands_until_the_chosen_work_comes():
    found = followed(
        limit("diameter_loss", 9.0, life=50.0),
        chosen=OptionKind.RE_ROPE,
        in_years=0.4,
        leads=LEAD,
        stands=True,
        horizon=5.0,
    )

    assert {(round(years, 6), round(stood, 6)) for _, years, _, stood in found} == {
        (0.4, 0.4)
    }


def test_no_day_of_standing_is_counted_twice():
    """Seats and ropes are beyond at once, and ropes come half a year sooner."""
    ropes = limit("diameter_loss", 0.001, life=50.0)
    grooves = limit("seat_depth", 0.001, life=50.0)

    found = followed(
        ropes, grooves, leads=LEAD, cut=False, horizon=5.0, together_years=0.0
    )

    for draw in range(100):
        stood = [each for number, *_, each in found if number == draw]
        assert sum(stood) == pytest.approx(1.0, abs=0.002)


def test_what_is_left_is_the_share_until_the_next_work():
    given = thresholds.changed(changes=SHARP)
    future = following.Following(
        groups.Followed(
            futures=(
                Future(
                    machine_key=1,
                    limits=lives.grouped([limit("diameter_loss", 3.0, life=8.0)]),
                    answers=Answers(
                        cut=None, cuts=0, renewal=OptionKind.REPLACE_SHEAVE
                    ),
                ),
            ),
            deviates=Deviates(seed=1, draws=100, thresholds=given),
            thresholds=given,
            as_of=AS_OF,
        )
    )
    works = [each for batch in future.works(5.0) for each in batch.years]

    by, shares = future.left(5.0)

    assert (by[EndsTogether.ROPES] == ROPE).all()
    assert (by[EndsTogether.SEATS] == -1).all()
    assert not shares[EndsTogether.SEATS].any()
    # Done after nearly 3 years, to be done again after 8 more.
    assert np.median(works) == pytest.approx(3.0, abs=0.2)
    assert np.median(shares[EndsTogether.ROPES]) == pytest.approx(0.73, abs=0.04)
