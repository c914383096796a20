from datetime import date, timedelta

import pytest

from inspections.decisions import thresholds
from inspections.decisions.future import following, lives
from inspections.decisions.future.answers import KINDS, Answers
from inspections.decisions.future.following import Future
from inspections.decisions.records import OptionKind
from tests.inspections.decisions.machines import ahead

AS_OF = date(2026, 1, 1)
SHARP = {"rate_spread": 0.05, "shared_on_machine": 0.0, "shared_in_class": 0.0}


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
    )
    given = thresholds.changed(changes=SHARP)
    found = [
        (round(years), KINDS[kind])
        for batch in following.follow(
            futures=(future,),
            horizon_years=horizon,
            deviates=lives.Deviates(seed=1, draws=100, thresholds=given),
            thresholds=given,
            as_of=AS_OF,
        )
        for draw, years, kind in zip(batch.draw, batch.years, batch.kind, strict=True)
        if draw == 0
    ]
    return sorted(found)


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
