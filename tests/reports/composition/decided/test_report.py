"""Options in the condition report: from a machine's rows to page one and its pages."""

import re
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Building
from inspections.decisions.records import OptionKind
from inspections.models import Forecast, OptionSet, OwnerAnswer, PlannedWork, Terms
from reports import queries
from reports.composition import compose
from reports.pdf import document
from tests import callers, estates, factories
from tests.inspections.options import worn
from tests.reports.orders import asked
from tests.reports.pdf import opened

pytestmark = pytest.mark.django_db


def frozen(cast, **order):
    return compose(scope=cast.scope(), report=asked(cast, **order), issued_at=worn.AT)


def page(report):
    return next(each for each in report.machines if each.code == "MH-1")


def option(report, name):
    return next(each for each in page(report).options if each.name == name)


def answer(report, question):
    found = next(a for a in report.summary.answers if a.question == question)
    return " ".join(found.paragraphs)


def choose(cast, machine, kind):
    """Choose an option as the office does."""
    body = {"machine": machine.pk, "option": kind}
    taken = callers.call(cast, "POST", "/api/v1/planned-works", body)
    assert taken.status_code == 201, taken.content
    callers.confine(cast)
    return PlannedWork.objects.get(pk=taken.json()["id"])


def test_a_machine_shows_one_option_of_each_kind_in_their_order(north, machine):
    report = frozen(north)

    stored = OptionSet.objects.get(machine=machine).options
    names = [each.name for each in page(report).options]
    assert len(set(names)) == len(OptionKind)
    assert [name.lower() for name in names] == [said["words"] for said in stored]


def test_an_open_option_says_what_it_answers_when_and_at_what_cost(north, machine):
    found = option(frozen(north), "Replace the sheave and re-rope")

    assert found.possible.startswith("yes")
    assert found.addresses == "Seat depth (groove 1, 2, 3, 4, 5)"
    assert found.plan_before == "12 May 2026"
    # 24 hours of 80, a sheave, a rope set and hoisting at 1,000 each; from low to high.
    assert found.cost == "EUR 3,820 to 15,400, likely 4,920"
    assert "whole matched set" in found.consequence
    assert "%" in found.consequence


def test_an_option_that_is_of_no_use_says_why_and_nothing_else(north, machine):
    found = option(frozen(north), "Equalise the rope tensions")

    assert found.pointless == "nothing that is open or near asks for it"
    assert (found.cost, found.addresses, found.plan_before) == ("", "", "")


def test_what_has_to_be_known_first_is_named_once_for_all_grooves(north, machine):
    found = option(frozen(north), "Regroove in place and re-rope")

    assert found.possible == "not known"
    assert found.measure_before.startswith(
        "metal or seat depth of groove 1, 2, 3, 4, 5;"
    )
    assert found.measure_before.count("groove") == 1


def test_no_rate_of_the_contractor_is_shown(north, machine):
    report = frozen(north)

    text = opened.whole(document.draw(document=report))

    for said in (
        Terms.objects.filter(subject="RATES").latest("pk").said["hourly"].values()
    ):
        assert f"EUR{float(said):g}" not in text
    assert "80.00" not in text
    assert "EUR3,820to15,400" in text


def test_a_cost_without_rates_says_what_is_missing(bare):
    report = frozen(bare)

    found = option(report, "Replace the sheave and re-rope")
    assert found.cost == "not estimated: the contractor's rates"


def test_a_choice_without_rates_is_not_said_to_be_estimated(bare):
    choose(bare, factories.machine(bare.scope()), "REPLACE_SHEAVE")

    said = answer(frozen(bare), "What may it cost?")

    assert said == (
        "MH-1, replace the sheave and re-rope: not estimated: the contractor's rates."
    )


def test_where_nothing_is_advised_page_one_says_so(north, machine):
    report = frozen(north)

    cost = answer(report, "What may it cost?")
    assert cost.startswith("Not decided yet, if the first work that answers is chosen:")
    [decision] = report.summary.decisions
    assert report.summary.total.startswith("Together: EUR ")
    assert report.summary.total.endswith(" (MH-1).")
    assert decision.advice.startswith("nothing advised yet")
    assert page(report).recommendation.startswith("Nothing is advised yet.")


def test_what_the_office_chose_stands_on_page_one_with_its_sum(north, machine):
    planned = choose(north, machine, "REPLACE_SHEAVE")
    PlannedWork.objects.filter(pk=planned.pk).update(order_by_on=date(2026, 5, 10))

    report = frozen(north)

    cost = answer(report, "What may it cost?")
    assert "EUR 3,820 to 15,400 (MH-1)" in cost
    assert "not a quotation" in cost
    ordering = answer(report, "What must be decided, and by when?")
    assert "10 May 2026 (MH-1: replace the sheave and re-rope)" in ordering
    [decision] = report.summary.decisions
    assert decision.advice == "chosen: replace the sheave and re-rope"
    assert decision.order_by == "10 May 2026"
    assert decision.cost.startswith("EUR 3,820 to 15,400")
    assert option(report, "Replace the sheave and re-rope").is_chosen
    assert page(report).recommendation.startswith("Chosen on 5 May 2026: replace")


def test_a_day_to_order_by_that_is_past_is_said_to_be(north, machine):
    planned = choose(north, machine, "REPLACE_SHEAVE")
    PlannedWork.objects.filter(pk=planned.pk).update(order_by_on=date(2026, 4, 10))

    report = frozen(north)

    ordering = answer(report, "What must be decided, and by when?")
    assert "To be ordered at once: the day to order by was 10 Apr 2026" in ordering
    [decision] = report.summary.decisions
    assert decision.order_by == "overdue since 10 Apr 2026"


def test_what_is_ordered_has_no_day_to_order_by(north, machine):
    planned = choose(north, machine, "REPLACE_SHEAVE")
    PlannedWork.objects.filter(pk=planned.pk).update(
        order_by_on=date(2026, 4, 10), state="ORDERED"
    )

    report = frozen(north)

    assert "order" not in answer(report, "What must be decided, and by when?")
    [decision] = report.summary.decisions
    assert decision.order_by == ""
    assert "to be ordered" not in page(report).recommendation


def test_options_of_an_assessment_before_this_one_say_so(north, machine):
    stored = OptionSet.objects.get(machine=machine)
    stored.facts = stored.facts | {"assessment": stored.facts["assessment"] - 1}
    stored.save()

    cautions = page(frozen(north)).options_cautions

    assert "an assessment before the one shown here" in cautions[0]
    assert any("does not authorise operation" in text for text in cautions)


@pytest.mark.parametrize("promise", ["safe", "guarantee", "approved", "will hold"])
def test_options_promise_nothing(north, machine, promise):
    shown = page(frozen(north))

    texts = [
        text
        for each in shown.options
        for text in (each.possible, each.consequence, each.cost, each.addresses)
    ]
    assert promise not in " ".join((*texts, shown.recommendation)).lower()


def test_a_german_report_says_all_of_it_in_german(north, machine):
    report = frozen(north, language="de")

    shown = page(report)
    texts = " ".join(
        text
        for each in shown.options
        for text in (
            each.name,
            each.possible,
            each.addresses,
            each.plan_before,
            each.cost,
            each.leaves_open,
            each.measure_before,
            each.pointless,
            each.blocked,
            each.consequence,
        )
    )
    assert "[auf Englisch]" not in texts
    assert not re.search(r"\b(the|and|groove|ropes|not known)\b", texts)
    assert "EUR 3.820 bis 15.400" in texts
    assert "[auf Englisch]" not in " ".join(shown.options_cautions)


def test_options_cost_as_many_queries_for_ten_machines_as_for_two(north):
    estates.grow(north, machines=1, mark="first")
    report = asked(north)
    with CaptureQueriesContext(connection) as few:
        compose(scope=north.scope(), report=report, issued_at=worn.AT)
    estates.grow(north, machines=8)

    with CaptureQueriesContext(connection) as many:
        compose(scope=north.scope(), report=report, issued_at=worn.AT)

    assert len(many) == len(few)


def weighed(cast):
    """Blur a date of every machine by what could be measured; return the machines."""
    blurred = Forecast.objects.filter(current=True)
    blurred.update(measure_first="rim_thickness_mm", limit_share=0.9)
    place = Building.objects.get(code="mill-house")
    facts = queries.facts_of(scope=cast.scope(), buildings=[place], as_of=worn.AT)
    known = queries.with_measuring(facts, scope=cast.scope(), as_of=worn.AT)
    return [each.machine.code for each in known if each.compared]


def test_measuring_is_weighed_by_as_many_queries_for_ten_machines_as_for_two(north):
    estates.grow(north, machines=1, mark="first")
    report = asked(north)
    assert len(weighed(north)) == 2
    with CaptureQueriesContext(connection) as few:
        compose(scope=north.scope(), report=report, issued_at=worn.AT)
    estates.grow(north, machines=8)
    assert len(weighed(north)) == 10

    with CaptureQueriesContext(connection) as many:
        compose(scope=north.scope(), report=report, issued_at=worn.AT)

    assert len(many) == len(few)


def test_the_owners_answer_stands_in_the_next_report_as_no_order(north, machine):
    choose(north, machine, "REPLACE_SHEAVE")
    reader = north.memberships["OWNER_READER"]
    OwnerAnswer.objects.create(
        contractor=north.contractor,
        machine=machine,
        kind="REPLACE_SHEAVE",
        answer="AGREE",
        membership_id=reader.pk,
        answered_at=worn.AT,
    )

    decided = [each.advice for each in frozen(north).summary.decisions]

    told = [advice for advice in decided if "the owner's answer, no order" in advice]
    assert told
    assert reader.person.username in told[0]
    assert told[0].endswith("agrees")
