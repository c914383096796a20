"""A value held against a limit."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import (
    ITEMS,
    NUMBER,
    QUANTITY,
    REASON,
    TERM,
    TEXT,
    TEXTS,
    Sentence,
    say,
)
from inspections.reasons.codes import Code

VERDICTS: Mapping[Code, Sentence] = {
    Code.BEYOND_LIMIT: say(
        "{criterion} {value}, beyond the limit ({bound} {limit})",
        criterion=TERM,
        value=QUANTITY,
        bound=TERM,
        limit=QUANTITY,
    ),
    Code.WITHIN_LIMIT: say(
        "{criterion} {value}, inside the limit ({bound} {limit})",
        criterion=TERM,
        value=QUANTITY,
        bound=TERM,
        limit=QUANTITY,
    ),
    Code.LIMIT_BETWEEN: say(
        "{criterion} between {low} and {high}, the limit {limit} lies between; "
        "missing: {items}",
        criterion=TERM,
        low=NUMBER,
        high=QUANTITY,
        limit=NUMBER,
        items=ITEMS,
    ),
    Code.CRITERION_OPEN: say("{criterion}: {why}", criterion=TERM, why=REASON),
    Code.NO_NUMBER: say("the set has no number for this limit"),
    Code.NO_LIMIT_IN_SET: say(
        "{set} has no limit for {criterion}", set=TEXT, criterion=TERM
    ),
    Code.NO_ROW_FOR_ROPE: say(
        "{set} has no row for this rope, only {rows}", set=TEXT, rows=TEXTS
    ),
    Code.STRANDS_NOT_KNOWN: say("strands not known"),
    Code.SET_PRINTS_NO_LIMIT: say("the set prints no such limit"),
    Code.TO_BE_ENTERED: say("to be entered from the contractor's own copy"),
    Code.SET_GAPS: say("{set} has no number for: {items}", set=TEXT, items=ITEMS),
    Code.SET_GAPS_MORE: say(
        "{set} has no number for: {items} and {more:g} more",
        set=TEXT,
        items=ITEMS,
        more=NUMBER,
    ),
    Code.BETWEEN_SIZES: say(
        "the table has no row for this size; the stricter of {rows} is carried to it",
        rows=TEXTS,
    ),
    Code.BORROWED_ROW: say(
        "the set's own number is not entered; held against that of {set} meanwhile",
        set=TEXT,
    ),
    Code.A17_6_TO_BE_ENTERED: say("A17.6 has this table; enter it from your own copy"),
}
