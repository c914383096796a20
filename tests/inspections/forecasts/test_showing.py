"""What is stored of a forecast: the day to plan on, and when to have looked by."""

import numpy as np
import pytest

from inspections.forecasts import asking, showing
from inspections.forecasts.showing import Chances
from inspections.projection import forecasting
from tests.inspections.projection.test_presentation import case


def said(*, chance: float = 0.0, plan_years: float = 2.0, **given: bool):
    chances = Chances(
        already=np.zeros(1),
        before_visit=np.array([chance]),
        model_state=np.array([forecasting.FORECAST]),
        plan_years=np.array([plan_years]),
        visit_years=np.array([1.5]),
        pull_forward_chance=0.01,
    )
    return showing.say(case=case(**given), chances=chances, question=asking.nothing(1))


@pytest.mark.parametrize(
    ("safety", "chance", "by"),
    [(True, 0.011, 1.5), (True, 0.01, np.inf), (False, 0.5, np.inf)],
)
def test_over_one_percent_before_the_visit_pulls_it_forward(safety, chance, by):
    assert said(safety=safety, chance=chance).visit.tolist() == [by]


def test_planning_date_is_never_later_than_one_in_ten():
    assert said(plan_years=2.0).plan.tolist() == [2.0]
    assert said(plan_years=9.0).plan.tolist() == [4.0]
