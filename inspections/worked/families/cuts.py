"""Another cut: the metal that it would leave under the thinnest groove at its worst."""

from collections.abc import Iterator

from inspections.engineering.groove import FORMS, KnownForm
from inspections.worked.families.built import one_line
from inspections.worked.families.matching import Candidate, first_that_gives
from inspections.worked.records import Number, WorkedLines
from inspections.worked.told import Told, of_rules, read, worked


def left(told: Told) -> list[WorkedLines]:
    """Return the metal that is left: what is there, without what the cut takes."""
    cut, given = told.detail.get("cut"), told.detail.get("given")
    if told.value is None or not cut or not given:
        return []
    found = first_that_gives(told.value, _left(told))
    if found is None:
        return []
    text, numbers = found
    return [one_line(told, name="metal_after_cut", formula_=text, numbers=numbers)]


def _left(told: Told) -> Iterator[Candidate]:
    """Yield it by each seat that the cut may go down to, with and without run-out."""
    given, thinnest = told.detail["given"], told.detail["cut"]["thinnest"]
    metal = {each["number"]: each.get("worst_mm") for each in told.metal}.get(thinnest)
    if metal is None:
        return
    own = [s["depth_mm"] for s in given["seats"] if s["groove"] == thinnest]
    loses_own_wear = not FORMS[KnownForm(given["sheave"]["form"])].has_bottom
    for seat in given["seats"]:
        for runout in dict.fromkeys((0.0, given["seat_runout_mm"])):
            numbers: list[Number] = [
                worked("t", "rim_metal", metal, "mm"),
                read("s", "deepest_seat", seat["depth_mm"], "mm"),
                of_rules("c", "clean_up", given["clean_up_mm"], "mm"),
            ]
            text = "t-s-c"
            if runout:
                numbers.append(read("r", "seat_runout", runout, "mm"))
                text += "-r"
            if loses_own_wear and own:
                numbers.append(read("s_0", "seat_depth", min(own), "mm"))
                text += "+s_0"
            numbers.append(read("u", "seat_depth_sd", seat["sd_mm"], "mm"))
            yield f"{text}-2*u", tuple(numbers)
