"""The portfolio narrowed, ordered, grouped and taken out; calendar and budget."""

import html
import re
from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.models import Machine, Owner
from inspections import overview, queries
from inspections.models import DueWork
from inspections.overview import Wish
from inspections.pages import bars, budget
from inspections.pages.wishing import address_of, wish_of
from inspections.planning import weeks
from tests import callers
from tests.inspections.test_pages import browser, machine_of, open_stop, text_of

pytestmark = pytest.mark.django_db


def codes(cast, **wish):
    found = overview.lines(
        scope=cast.scope(), wish=Wish(**wish), today=timezone.localdate()
    )
    return [line.machine.code for line in found.lines]


def test_an_address_says_what_is_asked_for_and_leaves_out_what_there_is_not():
    wish = wish_of(
        {"state": "ACT_NOW", "text": " a\0b ", "order": "code", "owner": "7"}
    )

    assert wish == Wish(state="ACT_NOW", text="ab", order="code", owner=7)
    assert address_of(wish) == "?state=ACT_NOW&text=ab&owner=7&order=code"
    assert address_of(wish, owner=None, page=3).endswith("&order=code&page=3")
    assert address_of(wish_of({"unchecked": "1"}), page=2) == "?unchecked=1&page=2"
    hostile = {
        "unchecked": "2",
        "state": "X",
        "order": "pk); --",
        "owner": "٣",
        "page": "9" * 30,
    }
    assert wish_of(hostile) == Wish()


def test_the_portfolio_is_narrowed_and_ordered_by_the_address(world):
    north = world.north
    stopped = machine_of(north, "QC-1")
    open_stop(north, stopped)
    first = DueWork.objects.within(north.scope()).filter(machine__code="MH-1").first()
    DueWork.objects.within(north.scope()).exclude(machine__code="MH-1").delete()
    DueWork.objects.within(north.scope()).filter(pk=first.pk).update(
        order_by_on=date(2026, 1, 1)
    )

    assert codes(north)[0] == "QC-1"
    assert codes(north, order="code") == sorted(codes(north))
    assert codes(north, order="order-by")[0] == "MH-1"
    assert codes(north, state="STOPPED", building=stopped.building_id) == ["QC-1"]
    own = codes(north, owner=stopped.building.owner_id)
    assert "QC-1" in own
    assert "MH-1" not in own
    assert codes(north, building=10**12) == []


def test_the_machines_of_which_a_check_is_missing_are_those_that_are_counted(world):
    north = world.north
    rows = queries.latest_assessments(scope=north.scope())
    made = {"made": 3, "of": 4}
    rows.update(checks=made | {"missed": []})
    one = rows.filter(machine=machine_of(north, "MH-1"))
    one.update(checks=made | {"missed": [{"check": "crack", "why": "NEVER"}]})

    assert queries.unchecked_machines(scope=north.scope()) == 1
    assert codes(north, unchecked=True) == ["MH-1"]
    assert codes(north, unchecked=True, state="STOPPED") == []


def test_a_building_with_a_machine_out_of_service_heads_the_groups(world):
    north = world.north
    stopped = machine_of(north, "QC-1")
    open_stop(north, stopped)
    today = timezone.localdate()

    for groups in (
        overview.by_building(scope=north.scope(), today=today),
        overview.by_owner(scope=north.scope(), today=today),
    ):
        assert groups[0].stopped == 1
        assert sum(group.machines for group in groups) == len(codes(north))
    page = text_of(browser(north, "OFFICE").get(reverse("portfolio-by-building")))
    assert "1 OUT OF SERVICE" in page


def test_the_file_has_the_lines_of_the_page_and_is_given_to_who_just_confirmed(world):
    north = world.north
    machine = machine_of(north, "QC-1")
    open_stop(north, machine)
    type(machine).objects.filter(pk=machine.pk).update(name="=1+1")
    client = browser(north, "OFFICE")
    address = reverse("portfolio-file") + "?state=STOPPED"

    asked = client.get(address)
    session = client.session
    session["password_at"] = timezone.now().timestamp()
    session.save()
    given = client.get(address)

    assert asked.status_code == 302
    assert asked["Location"].startswith("/confirm?next=")
    lines = b"".join(given.streaming_content).decode().splitlines()
    assert len(lines) == 2
    row = dict(zip(lines[0].split(","), lines[1].split(","), strict=True))
    assert (row["machine_code"], row["state"]) == ("QC-1", "STOPPED")
    assert row["machine_name"] == "'=1+1"
    assert row["out_of_service_since"]


def test_a_bar_without_a_late_day_reaches_the_end_of_its_axis():
    today = date(2026, 6, 1)

    class Limit:
        p10_on = today + timedelta(days=365)
        p90_on = None
        plan_before_on = today

    bar = bars.of_forecast(Limit, today=today)

    assert bar.left + bar.width == bars.WIDTH
    assert bar.open_end
    assert bar.plan == bar.today
    assert bars.of_forecast(None, today=today) is None


def test_the_calendar_has_each_day_in_its_week_and_neighbours_to_join(world):
    north = world.north
    callers.confine(north)
    machines = list(queries.active_machines(scope=north.scope()))
    line = DueWork.objects.within(north.scope()).select_related(None).first()
    DueWork.objects.within(north.scope()).delete()
    monday = weeks.monday_of(date(2026, 6, 3))
    for machine, days in zip(machines[:2], (10, 300), strict=True):
        line.pk = None
        line._state.adding = True
        line.machine = machine
        line.planned_work_id = None
        line.building_id, line.owner_id = (
            machines[0].building_id,
            machines[0].building.owner_id,
        )
        line.hoists, line.order_by_on = True, monday
        line.due_before_on = line.rank_on = monday + timedelta(days=days)
        line.save()

    found = weeks.calendar(scope=north.scope(), first=date(2026, 6, 3), weeks=2)
    joined = weeks.joinable(scope=north.scope(), most=10)
    page = text_of(browser(north, "OFFICE").get("/calendar?from=2026-06-03"))

    assert [week.monday for week in found.weeks] == [
        monday,
        monday + timedelta(days=7),
    ]
    assert [e.kind for e in found.weeks[0].entries].count(weeks.EntryKind.ORDER) == 2
    assert [e.kind for e in found.weeks[1].entries if e.line] == [weeks.EntryKind.DO]
    assert len(joined) == 1
    assert len(joined[0].lines) == 2
    assert "Week 23" in page
    assert "last day to order for" in page


def test_the_pages_of_the_week_and_of_the_money_are_the_offices(world):
    for role in ("TECHNICIAN", "OWNER_READER"):
        for name in ("calendar", "budget"):
            answer = browser(world.north, role).get(reverse(name))
            assert answer.status_code == 403
    client = browser(world.north, "OFFICE")
    assert client.get("/calendar?from=0001-01-01").status_code == 200
    page = text_of(client.get(reverse("budget")))
    assert "What is not in these numbers" in page
    assert "isolate and lock out" in page


def test_a_budget_that_takes_too_long_for_a_page_is_offered_in_parts(
    world, monkeypatch
):
    client = browser(world.north, "OFFICE")
    monkeypatch.setattr(budget, "MOST_AT_ONCE", 0)
    callers.confine(world.north)
    machine = Machine.objects.filter(retired_on=None).first()
    owner = machine.building.owner

    answer = client.get(reverse("budget"))
    of_owner = client.get(reverse("budget"), {"owner": owner.pk})

    assert "budget" not in answer.context
    assert f'href="/budget?owner={owner.pk}"' in text_of(answer)
    assert f'href="/budget?building={machine.building_id}"' in text_of(of_owner)
    assert reverse("order-report") in text_of(answer)
    assert "takes longer than a page may" in text_of(answer)


def test_owners_to_ask_for_instead_are_all_on_some_page(world, monkeypatch):
    client = browser(world.north, "OFFICE")
    monkeypatch.setattr(budget, "MOST_AT_ONCE", 0)
    monkeypatch.setattr(budget, "PARTS", 1)
    callers.confine(world.north)
    names = ["Alder", "Birch", "Cedar"]
    owners = Owner.objects.bulk_create(
        Owner(contractor_id=world.north.contractor.pk, name=name, code=name.lower())
        for name in names
    )
    active = Owner.objects.filter(retired_on=None).order_by("name", "pk")
    wanted, address, seen = [each.pk for each in active], reverse("budget"), []

    while address and len(seen) <= len(wanted):
        answer = client.get(address)
        seen += [part.pk for part in answer.context["parts"]]
        link = re.search(r'rel="next" href="([^"]+)"', answer.content.decode())
        address = reverse("budget") + html.unescape(link[1]) if link else ""

    assert {each.pk for each in owners} <= set(wanted)
    assert seen == wanted
    assert 'rel="prev"' in answer.content.decode()


def test_as_many_machines_as_a_page_draws_are_drawn(world, monkeypatch):
    callers.confine(world.north)
    count = Machine.objects.filter(retired_on=None).count()
    monkeypatch.setattr(budget, "MOST_AT_ONCE", count)

    answer = browser(world.north, "OFFICE").get(reverse("budget"))

    assert answer.context["budget"].machines == count
