"""Neighbours that share a hoisting or an access: one room, and a day in common."""

from datetime import date, timedelta

from fleet.models import Machine
from inspections.models import DueWork
from inspections.planning import portfolio

YEAR = timedelta(days=365)


def line(pk, *, due, begin=None, room="", building=1, hoists=True, kind="RENEW_RIM"):
    return DueWork(
        kind=kind,
        pk=pk,
        machine=Machine(pk=pk, machine_room=room),
        building_id=building,
        hoists=hoists,
        window_from_on=begin,
        due_before_on=due,
    )


def together(*lines):
    found = portfolio.hoistings(lines, earlier=YEAR)
    return [each.lines for each in found]


def test_windows_with_a_day_in_common_share_it():
    first = line(1, begin=date(2027, 1, 1), due=date(2027, 3, 1))
    second = line(2, begin=date(2027, 2, 1), due=date(2028, 6, 1))

    [found] = portfolio.hoistings([second, first], earlier=YEAR)

    assert found.lines == (1, 2)
    assert (found.window_from_on, found.due_before_on) == (
        date(2027, 2, 1),
        date(2027, 3, 1),
    )


def test_near_days_without_one_in_common_do_not():
    first = line(1, begin=date(2027, 1, 1), due=date(2027, 3, 1))
    second = line(2, begin=date(2027, 3, 2), due=date(2027, 4, 1))

    assert together(first, second) == [(1,), (2,)]


def test_another_room_or_building_is_another_hoisting():
    due = date(2027, 3, 1)
    north, again = line(1, due=due, room="North"), line(2, due=due, room=" north ")
    south = line(3, due=due, room="South")
    elsewhere = line(4, due=due, room="North", building=2)

    assert together(north, again, south, elsewhere) == [(1, 2), (3,), (4,)]


def test_work_without_a_window_comes_forward_by_as_much_as_the_terms_say():
    first, second = line(1, due=date(2027, 3, 1)), line(2, due=date(2028, 2, 29))
    late = line(3, due=date(2028, 3, 1))

    assert together(first, second) == [(1, 2)]
    assert together(first, late) == [(1,), (3,)]


def test_what_lifts_nothing_or_has_no_day_shares_nothing():
    due = date(2027, 3, 1)

    assert together(line(1, due=due), line(2, due=due, hoists=False)) == [(1,)]
    assert together(line(1, due=due), line(2, due=None)) == [(1,)]


def test_new_ropes_and_a_cut_in_place_share_an_access_and_no_hoisting():
    due = date(2027, 3, 1)
    lines = [
        line(1, due=due),
        line(2, due=due, hoists=False, kind="RE_ROPE"),
        line(3, due=due, hoists=False, kind="REGROOVE_IN_PLACE"),
        line(4, due=due, hoists=False, kind="EQUALISE"),
        line(5, due=due, hoists=False, kind="RE_ROPE", room="South"),
    ]

    [entered, other] = portfolio.accesses(lines, earlier=YEAR)

    assert together(*lines) == [(1,)]
    assert (entered.lines, other.lines) == ((1, 2, 3), (5,))


def test_an_access_that_a_hoisting_has_is_not_told_twice():
    due = date(2027, 3, 1)
    lifting = [line(1, due=due), line(2, due=due)]
    ropes = line(3, due=due, hoists=False, kind="RE_ROPE")

    lifted, alone = portfolio.shared(lifting, earlier=YEAR)
    _, wider = portfolio.shared([*lifting, ropes], earlier=YEAR)

    assert [each.lines for each in lifted] == [(1, 2)]
    assert alone == []
    assert [each.lines for each in wider] == [(1, 2, 3)]


def test_no_work_of_a_group_comes_later_than_its_own_day():
    lines = [
        line(n, begin=date(2027, 1 + n % 5, 1), due=date(2027, 3 + n % 7, 1))
        for n in range(1, 12)
    ]

    found = portfolio.hoistings(lines, earlier=YEAR)

    by_id = {each.pk: each for each in lines}
    assert sorted(pk for each in found for pk in each.lines) == list(range(1, 12))
    for each in found:
        for pk in each.lines:
            begin = min(by_id[pk].window_from_on, by_id[pk].due_before_on)
            assert begin <= each.due_before_on <= by_id[pk].due_before_on
