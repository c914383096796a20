"""Cautions of options, and what costs, orders and budgets say."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import (
    DAY,
    ITEMS,
    NUMBER,
    QUANTITY,
    TERM,
    TEXT,
    TEXTS,
    Sentence,
    say,
)
from inspections.reasons.codes import Code

CAUTIONS: Mapping[Code, Sentence] = {
    Code.CAUTION_STOPPED: say(
        "Take the machine out of service until a competent person has decided: "
        "{matters:;}.",
        matters=ITEMS,
    ),
    Code.CAUTION_NOT_AN_ORDER: say(
        "Worked out from readings of one day and from the register; it is not an "
        "inspection or an order and does not authorise operation. Local code, the "
        "authority having jurisdiction and the licensed inspector decide."
    ),
    Code.CAUTION_COMPETENT: say(
        "Only by competent persons: isolate and lock out, prove dead, land and secure "
        "the counterweight and hold the car independently before ropes are lifted."
    ),
    Code.CAUTION_TEST_AFTER: say(
        "Test the traction after the work, before the machine runs again: a failed "
        "test outranks any calculation."
    ),
    Code.CAUTION_RESET_AFTER_CUT: say(
        "After the cut set car speed, encoder, slow-down and levelling again, and "
        "check the governor: at the same motor speed the car runs slower."
    ),
    Code.CAUTION_CUT_IN_PLACE: say(
        "In place the grooves run as true as the machine's own bearings: check run-out "
        "before and after, and catch every chip."
    ),
    Code.CAUTION_CUT_IN_SHOP: say(
        "Before the sheave is lifted out: how it is fastened on its shaft, and whether "
        "it can be pulled without damage."
    ),
    Code.CAUTION_BEDDING: say(
        "A rope that is thinner than its seat holds less until it has bedded in: a "
        "slip test is asked for after it."
    ),
    Code.CAUTION_DEGREASE: say(
        "Only on ropes that stand still, wiped dry, with what the rope's maker "
        "allows: no solvent that reaches the core, nothing that scratches, no flame, "
        "fresh air. Keep it off brake and floor."
    ),
    Code.CAUTION_DEGREASE_TEST: say(
        "Afterwards test traction in every load case by a competent person, with "
        "nobody in the car, before the machine carries people, and look again in some"
        " weeks: oil comes out of the core. Ropes left dry rust and wear faster."
    ),
    Code.CAUTION_DEGREASE_FIRST: say(
        "A rope was read as wet: degrease the ropes and test traction again before "
        "metal is cut."
    ),
    Code.CAUTION_SPARING: say(
        "Only the lubricant and the amount that the rope's maker names: too much of it "
        "lets the ropes slide when the car is accelerated or stopped."
    ),
    Code.CAUTION_RIM_FITTED: say(
        "Check bolts and their holes, and the run-out after fitting."
    ),
    Code.CAUTION_SHEAVE_FITTED: say(
        "Check the fastening on the shaft, run-out and hardness after fitting."
    ),
    Code.BUDGET_EXPECTED: say(
        "Expected from forecasts, not ordered work: a quarter's P90 is exceeded in one "
        "of ten such quarters."
    ),
    Code.BUDGET_AS_TOLD: say(
        "Work falls on the day that people are told to plan it by; where a limit is "
        "reached first, the machine stands until the work comes."
    ),
    Code.BUDGET_STOOD: say(
        "Days that machines are expected to stand for it: {days:.1f}, which costs "
        "about {cost:.0f} {currency} beside these sums.",
        days=NUMBER,
        cost=NUMBER,
        currency=TEXT,
    ),
    Code.BUDGET_STOOD_UNPRICED: say(
        "Days that machines are expected to stand for it: {days:.1f} or more, which "
        "cost nothing in these sums; missing: {items:;}.",
        days=NUMBER,
        items=ITEMS,
    ),
    Code.BUDGET_QUANTILES: say(
        "Quarters' P10 and P90 do not add up; the whole has its own."
    ),
    Code.LEFT_OUT_MEASURING: say(
        "measuring decides between the others; it is no course of its own"
    ),
    Code.LEFT_OUT_IMPOSSIBLE: say("not possible or blocked"),
    Code.LEFT_OUT_STOP: say("it leaves open what stops service"),
    Code.HOURS_FOR: say("no hours entered for “{work}”", work=TERM),
    Code.SHOP_FOR: say("shop or cutter to {work}", work=TERM),
    Code.OFFER_FOR: say("an offer to {work}", work=TERM),
    Code.LINE_CUT_DEPTH: say(
        "depth to turn below the seats as last turned; groove {groove:g} is the "
        "deepest at {depth:.2f}",
        groove=NUMBER,
        depth=QUANTITY,
    ),
    Code.LINE_PITCH_DIAMETER: say(
        "pitch diameter of all grooves after the cut, equal within {within:.2f}",
        within=QUANTITY,
    ),
    Code.NO_CRACK_ON: say("none found ({day})", day=DAY),
    Code.NO_CRACK: say("none found"),
    Code.WANTED_FIRST: say("to be decided when this is known: {items:;}", items=ITEMS),
    Code.BUDGET_CURRENCIES: say(
        "the amounts are in more than one currency: {currencies}", currencies=TEXTS
    ),
}
