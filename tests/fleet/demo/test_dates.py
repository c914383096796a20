"""Moving the fixtures' dates."""

from datetime import date

from fleet.demo import dates


def test_days_between_counts_whole_days_to_today():
    days = dates.days_between(reference_date="2026-11-20", today=date(2027, 3, 1))

    assert days == 101


def test_dates_before_the_reference_are_moved_forward_too():
    moved = dates.shifted({"fitted_on": "2024-02-28"}, days=1)

    assert moved == {"fitted_on": "2024-02-29"}


def test_instants_keep_their_time_of_day_and_offset():
    moved = dates.shifted({"visited_at": "2026-03-28T09:00:00+01:00"}, days=2)

    assert moved == {"visited_at": "2026-03-30T09:00:00+01:00"}


def test_every_level_is_moved():
    entry = {"machines": [{"geometries": [{"valid_from": "2021-12-31", "form": "V"}]}]}

    moved = dates.shifted(entry, days=1)

    assert moved == {
        "machines": [{"geometries": [{"valid_from": "2022-01-01", "form": "V"}]}]
    }


def test_missing_dates_and_words_of_the_same_name_stay():
    entry = {"retired_on": None, "sources": {"fitted_on": "ASSUMED"}, "based_on": 3}

    assert dates.shifted(entry, days=7) == entry


def test_other_texts_that_look_like_dates_stay():
    entry = {"note": "2026-01-01", "value": "2026-01-01", "typed": ["2026-01-01"]}

    assert dates.shifted(entry, days=7) == entry


def test_what_is_given_is_not_changed():
    entry = {"works": [{"done_on": "2026-01-01"}]}

    dates.shifted(entry, days=1)

    assert entry == {"works": [{"done_on": "2026-01-01"}]}
