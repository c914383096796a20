"""The table of what is shown with 0, 1, 2 and 3 readings, row by row."""

import numpy as np
import pytest

from inspections.projection import presentation as shown
from inspections.projection.presentation import Case


def case(**changes):
    values = {
        "readings": 5,
        "known_installation": True,
        "quantiles_years": [2.0, 4.0, 8.0, 14.0],
        "share_learnt": 0.5,
        "machine_seen": True,
        "sister_visits": 3,
        "class_series": 100,
        "suspended": False,
        "safety": False,
    } | changes
    column = {
        name: np.array([value])
        for name, value in values.items()
        if name != "quantiles_years"
    }
    quantiles = np.array(values["quantiles_years"], dtype=float)[:, None]
    return Case(quantiles_years=quantiles, **column)


@pytest.mark.parametrize(
    ("changes", "form"),
    [
        ({"readings": 0}, shown.EARLIER_PARTS),
        ({"readings": 0, "machine_seen": False}, shown.CLASS_RANGE),
        (
            {"readings": 0, "machine_seen": False, "class_series": 29},
            shown.NOTHING,
        ),
        ({"readings": 0, "known_installation": False}, shown.NOTHING),
        ({"readings": 1}, shown.PROVISIONAL),
        ({"readings": 1, "known_installation": False}, shown.ONE_IN_TEN),
        ({"readings": 2}, shown.PROVISIONAL),
        ({"readings": 2, "known_installation": False}, shown.PROVISIONAL),
        (
            {"readings": 2, "known_installation": False, "sister_visits": 1},
            shown.ONE_IN_TEN,
        ),
        ({"readings": 3, "known_installation": False}, shown.PROJECTION),
        ({"readings": 3}, shown.PROJECTION),
        ({"suspended": True}, shown.SUSPENDED),
        ({"quantiles_years": [20, 26, 40, 60]}, shown.NOT_SEEN),
        ({"quantiles_years": [np.inf] * 4}, shown.NOTHING),
    ],
)
def test_form_follows_the_table(changes, form):
    assert shown.show(case(**changes)).form.tolist() == [form]


def test_middle_date_is_hidden_where_it_rests_on_the_class():
    answer = shown.show(case(readings=1, known_installation=False))

    assert answer.one_in_ten_years.tolist() == [4.0]
    assert np.isposinf(answer.middle_years).all()
    assert np.isposinf(answer.nine_in_ten_years).all()


def test_very_wide_band_shows_only_its_near_end():
    answer = shown.show(case(quantiles_years=[0.5, 1.0, 4.0, 12.0]))

    assert answer.one_in_ten_years.tolist() == [1.0]
    assert np.isposinf(answer.middle_years).all()


@pytest.mark.parametrize(
    ("share", "label"),
    [
        (0.1, shown.PRIOR_ONLY),
        (0.4, shown.PARTLY_LEARNT),
        (0.7, shown.ESTABLISHED),
    ],
)
def test_label_says_how_much_of_the_rate_was_learnt(share, label):
    assert shown.show(case(share_learnt=share)).label.tolist() == [label]


def test_suspended_forecast_shows_no_date():
    answer = shown.show(case(suspended=True, safety=True))

    assert np.isposinf(answer.one_in_ten_years).all()
    assert np.isposinf(answer.middle_years).all()
