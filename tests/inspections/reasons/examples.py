"""A reason of every code, with values of the kinds that it declares."""

from datetime import date

from inspections.reasons import Code, Quantity, Term, because, missing, place_of
from inspections.reasons.catalogue import SENTENCES
from inspections.reasons.catalogue.sentence import Holds

VALUES = {
    Holds.NUMBER: 3.0,
    Holds.QUANTITY: Quantity(12.34, "mm"),
    Holds.TERM: Term.CAR_MASS,
    Holds.ITEMS: (Term.CAR_MASS, Term.RATED_LOAD),
    Holds.TEXT: "EN_81_20",
    Holds.TEXTS: ("one", "two"),
    Holds.WORD: "yes",
    Holds.DAY: date(2026, 5, 3),
    Holds.REASON: missing(Term.SEAT_DEPTHS),
    Holds.PLACE: place_of("groove 1, 2"),
    Holds.PLACES: (place_of("groove 3"), place_of("hub"), place_of("G-17")),
}


def an_example(code: Code):
    fields = SENTENCES[code].fields
    return because(code, **{name: VALUES[holds] for name, holds in fields.items()})
