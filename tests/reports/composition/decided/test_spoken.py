"""What options and orders say, whole in German, numbers and days as read there."""

import json
from dataclasses import fields, replace
from zoneinfo import ZoneInfo

import pytest
from django.utils import translation

from inspections.decisions import options, regroove_order, thresholds
from inspections.decisions.budget import CAUTIONS
from inspections.decisions.records import OptionKind, Rates
from inspections.engineering.cut import Proof
from inspections.options import storing
from inspections.planning import kinds
from inspections.reasons import english
from reports.composition.decided import matters, money, spoken
from reports.composition.decided import options as of_machine
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
        cautions = {spoken.said(c, reader=GERMAN) for o in found for c in o.cautions}
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


@pytest.mark.parametrize("text", [*CAUTIONS, *kinds.WORDS.values()])
def test_cautions_of_the_budget_and_kinds_of_work_have_their_german(text):
    with translation.override("de"):
        said = spoken.said(text, reader=GERMAN)

    assert MARKED not in said
    assert said != text


@pytest.mark.parametrize(
    "facts", [machines.SOUND, BROKEN, UNKNOWN], ids=["sound", "broken", "unknown"]
)
def test_every_sentence_of_an_order_has_its_german(facts):
    order = regroove_order.draw_up(
        facts=facts, drawing=DRAWING, thresholds=thresholds.changed(changes={})
    )
    texts = {line.words for line in order.lines} | set(map(english, order.missing))
    texts |= {part for line in order.lines for part in line.source.split("; ") if part}
    texts |= {reason.text for reason in order.because}
    for reason in (*order.before_turning, *order.after_turning):
        texts |= {reason.text, *reason.source.split("; ")}

    with translation.override("de"):
        said = {text: spoken.said(text, reader=GERMAN) for text in texts}

    assert len(texts) > 25
    assert [text for text, german in said.items() if MARKED in german] == []


def test_numbers_and_days_are_the_readers_own():
    text = "groove 5 keeps 16.2 mm in the worst case, less than 18.0 mm"

    with translation.override("de"):
        german = spoken.said(text, reader=GERMAN)
        due = spoken.said("the day to order by, 2026-05-03, is past", reader=GERMAN)
    inches = spoken.said(
        text, reader=Reader(family="INCH", zone=ZoneInfo("UTC"), language="en")
    )

    assert "Rille 5" in german
    assert "16,2 mm" in german
    assert "3. Mai 2026" in due
    assert inches == "groove 5 keeps 0.64 in in the worst case, less than 0.71 in"


def test_what_is_said_groove_after_groove_is_said_once():
    texts = [
        *(
            f"monitoring alone is not enough for: seat depth, groove {n} by 2026-05-12"
            for n in "13"
        ),
        "monitoring alone is not enough for: seat depth, groove 2 by 2027-01-01",
        "metal of groove 4",
        "metal of groove 5",
        "metal of groove 4",
    ]

    assert spoken.gathered(texts, reader=ENGLISH) == (
        "monitoring alone is not enough for: Seat depth (groove 1, 3) by 12 May 2026",
        "monitoring alone is not enough for: Seat depth (groove 2) by 1 Jan 2027",
        "metal of groove 4, 5",
    )


def test_a_field_of_the_register_is_said_in_words():
    with translation.override("de"):
        german = spoken.said("balance_ratio", reader=GERMAN)

    assert spoken.said("balance_ratio", reader=ENGLISH) == "the balance"
    assert MARKED not in german
    assert german != "the balance"


def test_a_row_of_known_pieces_is_said_piece_by_piece():
    with translation.override("de"):
        known = spoken.said("car mass, rated load", reader=GERMAN)
        half = spoken.said("car mass, an odd thing", reader=GERMAN)

    assert MARKED not in known
    assert "car mass" not in known
    assert half == f"car mass, an odd thing {MARKED}"


def test_a_sentence_nobody_knows_is_said_to_be_in_english():
    with translation.override("de"):
        assert spoken.said("an odd thing", reader=GERMAN) == f"an odd thing {MARKED}"

    assert spoken.said("an odd thing", reader=ENGLISH) == "an odd thing"


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
    items = ["price of an hour", "hoisting", "price of a rim", "price of a sheave"]

    said = money.cost({"low": None, "missing": items}, reader=ENGLISH)

    assert said == (
        "not estimated: missing price of an hour; hoisting; price of a rim and 1 more"
    )
