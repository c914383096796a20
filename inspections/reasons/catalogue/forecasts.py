"""Why a forecast gives no more than it does, and what is said beside it."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import DAY, NUMBER, Sentence, say, say_by
from inspections.reasons.codes import Code

FORECASTS: Mapping[Code, Sentence] = {
    Code.FORECAST_NO_READING: say("no reading yet"),
    Code.FORECAST_NO_LIMIT: say("no limit is known for this place"),
    Code.FORECAST_NOT_COMPUTABLE: say(
        "the numbers cannot be: check the readings, measure again"
    ),
    Code.FORECAST_NOTHING_KNOWN: say(
        "nothing is known yet of this place or others like it"
    ),
    Code.FORECAST_EARLIER_PARTS: say(
        "no reading yet: expected from this machine's other and earlier parts"
    ),
    Code.FORECAST_CLASS_RANGE: say("no reading yet: the range of its class only"),
    Code.FORECAST_FEW_READINGS: say(
        "too few readings of its own: from the rates of other machines"
    ),
    Code.FORECAST_TOO_WIDE: say("the band is too wide for more than an earliest date"),
    Code.FORECAST_BEYOND: say("no limit seen within 25 years at today's rate"),
    Code.FORECAST_LIKELY_MET: say(
        "about {share:g} in 100 that it is reached already", share=NUMBER
    ),
    Code.FORECAST_NO_BAND: say("no band is shown for this forecast"),
    Code.FORECAST_RUNS_AHEAD: say(
        "the last readings run ahead of what the earlier ones promised: the planning "
        "date counts on wear that speeds up"
    ),
    Code.FORECAST_SOFTER_BELOW: say(
        "the limit lies below the hardened layer: the planning date counts on wear "
        "{times:g} times as fast from there on",
        times=NUMBER,
    ),
    Code.FORECAST_READ_OFF: say(
        "read by a gauge or a person that reads off the others: the planning date "
        "counts on the deeper level; have the gauge checked against a standard"
    ),
    Code.FORECAST_NOT_FITTED: say(
        "wear of this class does not go as the model has it: its dates stand farther "
        "off, and are to be read with care"
    ),
    Code.ASKED_STRAY: say("the last reading does not fit the others: measure again"),
    Code.ASKED_HEALS: say(
        "the readings only ever fall, which wear does not: check place and zero"
    ),
    Code.ASKED_STEPPED_TOGETHER: say(
        "several places stepped back together on {day}: were the parts renewed? "
        "Report the work, or measure again",
        day=DAY,
    ),
    Code.ASKED_STEPPED: say(
        "the readings stepped back on {day}: mixed up with another place, or renewed? "
        "Measure again, or report the work",
        day=DAY,
    ),
    Code.BREAKS_EVEN_ONLY: say(
        "the limit is that for breaks spread evenly; in one or two strands fewer count"
    ),
    Code.RECORD_NONE: say("no forecast of this class can be judged yet"),
    Code.RECORD_HELD: say_by(
        "judged",
        "of 1 past forecast of this class about {held:g} in 100 held, {early:g} came "
        "early",
        "of {judged:g} past forecasts of this class about {held:g} in 100 held, "
        "{early:g} came early",
        judged=NUMBER,
        held=NUMBER,
        early=NUMBER,
    ),
    Code.RECORD_BEGUN: say_by(
        "begun",
        "of 1 past forecast of this class about {early:g} in 100 came before their "
        "earliest date",
        "of {begun:g} past forecasts of this class about {early:g} in 100 came before "
        "their earliest date",
        begun=NUMBER,
        early=NUMBER,
    ),
    Code.READ_WITH_CARE: say("read its dates with care"),
}
