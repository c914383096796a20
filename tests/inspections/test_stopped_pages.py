"""A machine out of service cannot be overlooked on any page on which it stands."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone

from inspections.models import StopEvent, StopEventKind
from tests import estates
from tests.access import people
from tests.access.doors import ANY
from tests.access.matrix import MATRIX, NO
from tests.inspections.test_pages import browser, machine_of, open_stop, text_of

pytestmark = pytest.mark.django_db
# Leads back without naming the machine.
LEAVE = "Leave without saving"
SHOUT = '<span class="shout">OUT OF SERVICE</span> '
# Django's own pages for the administrator, and what is no page.
NO_PAGES = ("admin", "health", "metrics", "log-", "set-password", "portfolio.csv")


def page_addresses(world, role):
    """Yield the address of each page that a role may open, with a row of its own."""
    for (method, path), door in MATRIX.items():
        if method != ANY or path.startswith(NO_PAGES) or door.cell(role) == NO:
            continue
        rows = people.visible(world, world.north, door, role) if door.model else {1}
        for pk in sorted(rows) if "<pk>" in path else [1]:
            yield f"/{people.address(path, pk)}"


@pytest.mark.parametrize("role", ["OFFICE", "OWNER_READER"])
def test_a_stop_is_shouted_wherever_its_machine_stands_and_whom_to_call_is_said(role):
    world = estates.world()
    stopped = machine_of(world.north, "MH-1")
    open_stop(world.north, stopped)
    # The other machine runs: the word stands at no machine that is not stopped.
    running = machine_of(world.north, "QC-1")
    running.stops.filter(released_at=None).update(
        released_at=timezone.now(), release="RETIRED"
    )
    client = browser(world.north, role)
    named = {stopped.pk: 0, running.pk: 0}

    for address in page_addresses(world, role):
        answer = client.get(address)
        if answer.status_code == 405 or answer.streaming:
            continue
        page = text_of(answer)
        # Where a machine is judged, somebody may have to act: it is said once.
        if 'aria-label="Cautions"' in page:
            assert page.count('class="call"') == 1, address
        heading = page.partition("<h1>")[2].partition("</h1>")[0]
        # Not a report's number, in which a machine's code stands too.
        if re.search(rf"(?<![\w-]){stopped.code}(?![\w-])", heading):
            assert "OUT OF SERVICE" in page.partition("<main")[2], address
        for pk in named:
            for link in re.finditer(rf'<a href="/machines/{pk}">(?!{LEAVE})', page):
                named[pk] += 1
                shouted = page[: link.start()].endswith(SHOUT)
                assert shouted is (pk == stopped.pk), (
                    address,
                    page[link.start() :][:99],
                )

    assert named[stopped.pk] >= 2
    assert "OUT OF SERVICE" in text_of(client.get(f"/machines/{stopped.pk}"))


def test_today_says_who_was_told_of_a_stop_and_who_has_heard():
    world = estates.world()
    office = world.north.memberships["OFFICE"]
    office.person.first_name, office.person.last_name = "Ada", "<b>Kowalska"
    office.person.save()
    stop = open_stop(world.north, machine_of(world.north, "QC-1"))
    StopEvent.objects.create(
        contractor=world.north.contractor,
        stop=stop,
        kind=StopEventKind.TOLD,
        at=stop.since,
        told=[office.pk],
    )
    client = browser(world.north, "OFFICE")

    told = text_of(client.get(reverse("today")))
    client.post(reverse("acknowledge-stop", args=(stop.pk,)))
    heard = text_of(client.get(reverse("today")))

    assert "<bdi>Ada &lt;b&gt;Kowalska</bdi> (" in told
    assert "nobody has acknowledged it yet" in told
    assert "<bdi>Ada &lt;b&gt;Kowalska</bdi> acknowledged on" in heard
