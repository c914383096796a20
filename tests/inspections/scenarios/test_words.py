"""Whatever a page shows of a scenario has a name in each language."""

import pytest
from django.utils import translation

from inspections.engineering.cut import FitAnswer
from inspections.engineering.groove_window import Demand
from inspections.engineering.traction.rules import LoadCase
from inspections.scenarios import words
from inspections.scenarios.figures import NAMES
from inspections.scenarios.items import ITEMS
from inspections.scenarios.openings import ScenarioOpening
from inspections.scenarios.side_by_side import Turn
from inspections.scenarios.window_given import LeftOut

CALLED = [
    *[called for called, _ in words.ITEMS.values()],
    *[called for called, _ in words.FIGURES.values()],
    *words.DEMANDS.values(),
    *words.OPENINGS.values(),
    *words.CUTS.values(),
    *words.TURNS.values(),
    *words.CHOICES.values(),
]


@pytest.mark.parametrize(
    ("named", "listed"),
    [
        (words.ITEMS, ITEMS),
        (words.FIGURES, NAMES),
        (words.CASES, map(str, LoadCase)),
        (words.DEMANDS, map(str, Demand)),
        (words.OPENINGS, map(str, ScenarioOpening)),
        (words.CUTS, map(str, FitAnswer)),
        (words.TURNS, map(str, Turn)),
    ],
)
def test_what_there_is_and_what_has_a_name_are_the_same(named, listed):
    assert set(named) == set(listed)


def test_what_is_left_out_has_the_name_of_its_demand():
    assert {*map(str, LeftOut)} <= set(words.DEMANDS)


@pytest.mark.parametrize("called", CALLED, ids=str)
def test_each_name_has_its_german(called):
    with translation.override("en"):
        english = str(called)
    with translation.override("de"):
        german = str(called)

    assert german != english
