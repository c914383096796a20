"""What options and orders say, whole in German, numbers and days as read there."""

import json
from dataclasses import fields, replace
from datetime import date
from zoneinfo import ZoneInfo

import pytest
from django.utils import translation

from inspections.decisions import options, regroove_order, thresholds
from inspections.decisions.budget import CAUTIONS
from inspections.decisions.records import Cost, OptionKind, Rates
from inspections.engineering.cut import Proof
from inspections.options import saying, storing
from inspections.planning import kinds
from inspections.reasons import Code, Quantity, Term, because, english, place_of
from inspections.reasons.gathering import gathered
from reports.composition import reasons
from reports.composition.decided import matters, money, spoken
from reports.composition.decided import option as of_machine
from reports.composition.reader import Reader
from tests.inspections.decisions import machines, worked
from tests.inspections.decisions.test_regroove_order import DRAWING

GERMAN = Reader(family="METRIC", zone=ZoneInfo("UTC"), language="de")
ENGLISH = Reader(family="METRIC", zone=ZoneInfo("UTC"))
MARKED = "[auf Englisch]"
BROKEN = replace(
    machines.SOUND,
    findings=(
        machines.finding("traction", place="groove 3", stop=True),
        machines.finding("rope diameter", place="rope 2"),
        machines.finding("tension swing", place="rope 1"),
    ),
    rim=machines.rim(20.0, 19.0, 18.5, 18.0, 17.0),
    new_rope_is_pinched=True,
    feed_is_equal=False,
)
UNKNOWN = replace(
    machines.SOUND,
    rim=None,
    proof=Proof(),
    margins=(),
    seats=(),
    new_rope_is_pinched=None,
    feed_is_equal=None,
    rim_is_renewable=None,
)
MACHINES = {
    "sound": machines.SOUND,
    "broken": BROKEN,
    "unknown": UNKNOWN,
    "cracked": replace(machines.SOUND, proof=Proof(crack_free=False)),
    "far too deep": replace(machines.SOUND, seats=machines.seats(9.0, 9.0, 12.0)),
    "due soon": replace(
        machines.SOUND,
        ahead=(machines.ahead(),),
        findings=(machines.finding("rope diameter", place="rope 2"),),
    ),
}


def work_out(facts, *, rates=machines.RATES):
    return options.work_out(
        facts=facts,
        rates=rates,
        lead_times=machines.LEADS,
        thresholds=thresholds.changed(changes={}),
        as_of=machines.AS_OF,
    )


def shown(option, reader):
    """Return every text of an option as a report shows it, by its field."""
    said = json.loads(json.dumps(storing.as_json(option)))
    record = of_machine.option_of(said, reader=reader, is_chosen=False)
    texts = {f.name: getattr(record, f.name) for f in fields(record)}
    return {name: text for name, text in texts.items() if isinstance(text, str)}


@pytest.mark.parametrize("name", MACHINES)
@pytest.mark.parametrize("rates", [machines.RATES, Rates(currency="EUR")])
def test_every_sentence_of_an_option_has_its_german(name, rates):
    found = work_out(MACHINES[name], rates=rates)

    with translation.override("de"):
        german = [shown(each, GERMAN) for each in found]
        cautions = {reasons.say(c, reader=GERMAN) for o in found for c in o.cautions}
    english = [shown(each, ENGLISH) for each in found]

    assert MARKED not in str(german) + str(cautions)
    for one, other in zip(german, english, strict=True):
        same = {name for name, text in one.items() if text and text == other[name]}
        assert same <= {"cost"}


def test_a_cut_that_does_not_fit_says_every_reason_against_it():
    found = work_out(BROKEN)
    cut = next(o for o in found if o.kind is OptionKind.REGROOVE_IN_SHOP)

    said = shown(cut, ENGLISH)

    assert "groove 5 keeps" in said["blocked"]
    assert "a chance of" in said["blocked"]
    assert "whole set" not in said["blocked"]
    assert "chance that every groove keeps the least metal" in said["possible"]
    assert said["cost"] == ""


@pytest.mark.parametrize("kind", kinds.TERMS)
def test_every_kind_of_work_has_its_german(kind):
    with translation.override("de"):
        german = spoken.kind(kind, reader=GERMAN)

    assert german not in (kind, spoken.kind(kind, reader=ENGLISH))


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda each: each.code)
def test_every_caution_of_the_budget_has_its_german(caution):
    with translation.override("de"):
        assert reasons.say(caution, reader=GERMAN) != str(caution)


@pytest.mark.parametrize(
    "facts", [machines.SOUND, BROKEN, UNKNOWN], ids=["sound", "broken", "unknown"]
)
def test_every_sentence_of_an_order_has_its_german(facts):
    order = regroove_order.draw_up(
        facts=facts, drawing=DRAWING, thresholds=thresholds.changed(changes={})
    )
    steps = (*order.before_turning, *order.after_turning)
    given = [line.called for line in order.lines] + [*order.missing, *order.cautions]
    given += [line.answer for line in order.lines if line.answer is not None]
    given += [reason.said for reason in (*order.because, *steps)]
    given += [
        source
        for each in (*order.lines, *steps)
        for source in each.sources
        if isinstance(source, Term)
    ]

    with translation.override("de"):
        said = {one: reasons.item(one, reader=GERMAN) for one in given}

    assert len(said) > 25
    assert MARKED not in str(said)
    assert [str(one) for one, german in said.items() if german == english(one)] == []


def test_numbers_and_days_are_the_readers_own():
    keeps = because(
        Code.GROOVE_KEEPS,
        groove=5,
        metal=Quantity(16.2, "mm"),
        least=Quantity(18.0, "mm"),
    )
    past = because(Code.ORDER_DAY_PAST, day=date(2026, 5, 3))

    with translation.override("de"):
        german = reasons.say(keeps, reader=GERMAN)
        due = reasons.say(past, reader=GERMAN)
    inches = Reader(family="INCH", zone=ZoneInfo("UTC"), language="en")

    assert "Rille 5" in german
    assert "16,2 mm" in german
    assert "3. Mai 2026" in due
    assert "0.638 in" in reasons.say(keeps, reader=inches)


def near(groove, day):
    return because(
        Code.WATCHING_ANSWERS_NOT,
        matter=because(
            Code.MATTER_NEAR_AT,
            quantity=Term.QUANTITY_SEAT_DEPTH,
            place=place_of(f"groove {groove}"),
            day=day,
        ),
    )


def test_what_is_said_groove_after_groove_is_said_once():
    given = [
        near(1, date(2026, 5, 12)),
        near(3, date(2026, 5, 12)),
        near(2, date(2027, 1, 1)),
        *(because(Code.METAL_OR_SEAT_OF_GROOVE, groove=n) for n in (4, 5, 4)),
        Term.HARDNESS,
        Term.HARDNESS,
    ]

    assert spoken.gathered(given, reader=ENGLISH) == (
        "monitoring alone is not enough for: seat depth, groove 1, 3 by 12 May 2026",
        "monitoring alone is not enough for: seat depth, groove 2 by 1 Jan 2027",
        "metal or seat depth of groove 4, 5",
        "hardness",
    )


def test_what_differs_in_more_than_its_place_stays_apart():
    def keeps(groove, metal):
        return because(Code.CUT_THINNEST, groove=groove, metal=Quantity(metal, "mm"))

    given = (keeps(1, 20.0), keeps(2, 21.0))

    assert gathered(given) == given


def test_words_of_an_earlier_version_are_said_to_be_in_english():
    said = {"reasons": [{"text": "an odd thing", "source": "our rule"}]}
    [then] = saying.reasons_of(said, "reasons")

    with translation.override("de"):
        german = spoken.listed([then], reader=GERMAN)

    assert german == f"an odd thing {MARKED}"
    assert spoken.listed([then], reader=ENGLISH) == "an odd thing"


def test_what_a_newer_version_stored_is_said_to_be_unknown():
    said = {
        "measure_before": ["whatever"],
        "measure_before_said": [{"term": "of_tomorrow"}, {"code": "of_tomorrow"}],
    }

    found = saying.items_of(said, "measure_before")

    assert spoken.gathered(found, reader=ENGLISH) == (
        "a reason this version does not know: of_tomorrow",
    )


def test_matters_of_one_kind_stand_together():
    keys = ("traction/groove 3", "traction/groove 1", "traction, stalled", "odd/rope 2")

    named = matters.named((*keys, "traction/groove 3 (2)"))

    assert named.startswith("Traction of the ropes on the sheave (groove 3, 1); ")
    assert "Traction with car or counterweight landed; " in named
    assert named.endswith("Odd (rope 2)")


# --- sums -----------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("low", "mid", "high", "said"),
    [
        (9895.0, 9895.0, 9895.0, "EUR 9,895"),
        (900.4, 1000.0, 1300.0, "EUR 900 to 1,300, likely 1,000"),
        (0.0, 0.0, 0.0, "nothing beside the usual visits"),
    ],
)
def test_a_sum_is_a_range_in_whole_units(low, mid, high, said):
    cost = {"currency": "EUR", "low": low, "mid": mid, "high": high, "missing": []}

    assert money.cost(cost, reader=ENGLISH) == said


def test_the_sum_of_a_machine_worked_out_by_hand_is_shown():
    """docs/decisions.md, machine 1, step 7: 3,600 + 3,895 + 2,400 (our worked sum)."""
    found = options.work_out(
        facts=worked.FIRST,
        rates=worked.RATES,
        lead_times=worked.LEADS,
        thresholds=thresholds.changed(changes={}),
        as_of=worked.AS_OF,
    )
    cost = next(o.cost for o in found if o.kind is OptionKind.REGROOVE_IN_PLACE)

    said = money.cost(
        {
            "currency": cost.currency,
            "low": cost.low,
            "mid": cost.mid,
            "high": cost.high,
        },
        reader=ENGLISH,
    )

    assert said == f"{cost.currency} 9,895"


def test_the_first_three_missing_items_are_named():
    items = (
        Term.PRICE_OF_HOUR,
        Term.PRICE_OF_HOISTING,
        Term.PRICE_OF_RIM,
        Term.PRICE_OF_SHEAVE,
    )

    said = money.cost(saying.cost(Cost(currency="EUR", missing=items)), reader=ENGLISH)

    assert said == (
        "not estimated: price of an hour; hoisting; price of a rim and 1 more"
    )
