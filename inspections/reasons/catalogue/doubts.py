"""What makes a look into the future doubtful."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import ITEMS, TERM, Sentence, say
from inspections.reasons.codes import Code

DOUBTS: Mapping[Code, Sentence] = {
    Code.WEAR_AS_TODAY: say(
        "parts yet to come are taken to wear at today's rate, with the spread of a "
        "rate that nobody has read"
    ),
    Code.COSTS_OF_TODAY: say(
        "costs are today's, without interest and without a rise of prices"
    ),
    Code.POSSIBLE_NOT_KNOWN: say(
        "it is not known whether {kind} is possible: {items:;}", kind=TERM, items=ITEMS
    ),
    Code.LATER_CUTS_NOT_TAKEN: say("later cuts are taken not to fit"),
    Code.COST_TIES: say(
        "cannot be told from the cheapest by cost: {kinds}", kinds=ITEMS
    ),
    Code.GROOVES_NO_DATE: say("no date of the grooves: their end is in no number"),
    Code.GROOVES_NO_RATE: say(
        "no rate of the grooves: what follows their next renewal is in no number"
    ),
    Code.GROOVES_BY_OTHERS: say(
        "the date of the grooves rests on other machines alone"
    ),
    Code.ROPES_NO_DATE: say("no date of the ropes: their end is in no number"),
    Code.ROPES_NO_RATE: say(
        "no rate of the ropes: what follows their next renewal is in no number"
    ),
    Code.ROPES_BY_OTHERS: say("the date of the ropes rests on other machines alone"),
    Code.RUNBY_NO_DATE: say("no date of the run-by: its end is in no number"),
    Code.RUNBY_NO_RATE: say(
        "no rate of the run-by: what follows its next renewal is in no number"
    ),
    Code.RUNBY_BY_OTHERS: say("the date of the run-by rests on other machines alone"),
}
