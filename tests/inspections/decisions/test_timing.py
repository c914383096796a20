from dataclasses import replace
from datetime import date, timedelta

from inspections.decisions import dates, options, thresholds
from inspections.decisions.records import BoughtPart, LeadTimes, OptionKind
from inspections.reasons import Grade
from tests.inspections.decisions import machines
from tests.inspections.decisions.machines import AS_OF


def of(kind, *, leads=machines.LEADS, **facts):
    found = options.work_out(
        facts=replace(machines.SOUND, **facts),
        rates=machines.RATES,
        lead_times=leads,
        thresholds=thresholds.DEFAULTS,
        as_of=AS_OF,
    )
    return next(option for option in found if option.kind is kind)


def test_work_is_planned_before_the_first_limit_it_renews():
    assert of(OptionKind.RE_ROPE).plan_before_on == date(2030, 1, 1)
    assert of(OptionKind.REGROOVE_IN_SHOP).plan_before_on == date(2030, 1, 1)
    assert of(OptionKind.SHORTEN).plan_before_on is None


def test_it_is_ordered_by_that_day_less_longest_lead_and_access():
    found = of(OptionKind.REPLACE_SHEAVE)

    assert found.lead_days == 140 + 14
    assert found.order_by_on == date(2030, 1, 1) - timedelta(days=154)


def test_an_urgent_finding_is_answered_today():
    found = of(
        OptionKind.RE_ROPE,
        findings=(machines.finding("rope discard", Grade.ACT_NOW),),
    )

    assert found.plan_before_on == AS_OF
    assert f"the day to order by, {found.order_by_on}, is past" in {
        reason.text for reason in found.reasons
    }


def test_an_open_finding_is_answered_within_half_a_year():
    found = of(OptionKind.EQUALISE, findings=(machines.finding("rope tension"),))

    assert found.plan_before_on == dates.years_on(AS_OF, 0.5) == date(2026, 7, 3)


def test_a_lead_time_that_is_not_entered_gives_no_day_and_is_named():
    leads = LeadTimes(parts_days={BoughtPart.ROPE_SET: 42})

    found = of(OptionKind.REGROOVE_IN_SHOP, leads=leads)

    assert found.plan_before_on is not None
    assert found.order_by_on is None
    assert found.lead_days is None
    said = next(r.text for r in found.reasons if r.text.startswith("no day"))
    assert "lead time to regroove in the shop and re-rope" in said
    assert "days to get access" in said


def test_watching_and_measuring_have_no_day_to_order_by():
    for kind in (OptionKind.WATCH, OptionKind.MEASURE_FIRST):
        assert of(kind).order_by_on is None


def test_work_without_a_date_says_so():
    found = of(OptionKind.SHORTEN)

    assert "no planning date of a limit belongs to it" in {
        reason.text for reason in found.reasons
    }


def test_years_reach_no_further_than_the_calendar():
    assert dates.years_on(AS_OF, 1e6) == date(9999, 1, 1)
    assert dates.years_between(AS_OF, date(2027, 1, 1)) == 365 / 365.25
