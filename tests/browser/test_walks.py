"""Whole ways through the pages: by keyboard alone, on a phone, with scripts off."""

import re

import pytest
from django.db import transaction
from playwright.sync_api import expect

from fleet.register import people
from inspections.models import ReadingReview, Stop
from reports.models import Report, ReportState
from tests import callers
from tests.browser import looking
from tests.browser.seen import OFFICE, PAGES, TECHNICIAN
from tests.browser.waiting import follow, next_page
from tests.browsers import PASSWORD

_FOCUS = """
() => { const e = document.activeElement, s = getComputedStyle(e);
  return [e.tagName, (e.innerText || e.name || '').trim(), s.outlineStyle] }
"""


def focus(page):
    """Press the tab key; return what has the focus, and how it is outlined."""
    page.keyboard.press("Tab")
    return page.evaluate(_FOCUS)


def tab_to(page, words, *, most=80):
    """Go on by the tab key until something that begins so has the focus."""
    for _ in range(most):
        name, text, _outline = focus(page)
        if text.startswith(words):
            return name
    raise AssertionError(f"the tab key never reaches {words!r}")


def enter(page, address="**"):
    """Press the enter key on what has the focus; wait for the page it leads to."""
    with next_page(page):
        page.keyboard.press("Enter")
    page.wait_for_url(address)


def go_by_tab(page, words, address):
    """Open the list of pages and go to one, by the keyboard."""
    tab_to(page, "Pages")
    page.keyboard.press("Enter")
    expect(page.locator("#ways")).to_be_visible()
    tab_to(page, words)
    enter(page, address)


def test_the_offices_morning_by_keyboard_alone_on_a_phone(browser, house):
    page = browser.fresh(viewport={"width": looking.PHONE, "height": 740})
    person = house.cast.memberships[OFFICE].person

    # Logging in leads to Today, where the stop stands first.
    page.goto(house.address)
    assert tab_to(page, "username") == "INPUT"
    page.keyboard.type(person.username)
    tab_to(page, "password")
    page.keyboard.type(PASSWORD)
    enter(page, "**/today")
    assert page.inner_text("main h2").startswith("OUT OF SERVICE QC-1")

    # Hearing of the stop is one key more; the machine's page says so.
    assert tab_to(page, "I have heard of it") == "BUTTON"
    enter(page, f"**/machines/{house.stopped}")
    assert "acknowledged on" in page.inner_text(".stop")

    # A reading is refused with its why.
    go_by_tab(page, "Readings to confirm", "**/readings-to-confirm")
    tab_to(page, "why")
    page.keyboard.type("the gauge stood on the crown")
    assert tab_to(page, "Do not use it") == "BUTTON"
    enter(page)
    expect(page.locator(".messages")).to_be_visible()
    assert "No reading waits" in page.inner_text("main")

    # The draft is released.
    go_by_tab(page, "Reports", "**/reports")
    tab_to(page, "Release")
    enter(page)
    expect(page.locator(".messages")).to_be_visible()

    with transaction.atomic():
        callers.confine(house.cast)
        assert Stop.objects.get(pk=house.stop).acknowledged_at is not None
        said = ReadingReview.objects.get(reading=house.held)
        assert (said.accepted, said.why) == (False, "the gauge stood on the crown")
        report = Report.objects.get(pk=house.draft)
        assert report.state != ReportState.WAITING
        assert report.released_by_id == house.cast.memberships[OFFICE].pk


def test_the_first_stop_of_the_tab_key_leads_past_the_navigation(browser):
    with browser.open(OFFICE, "/portfolio") as tab:
        name, words, outline = focus(tab.page)
        assert (name, words) == ("A", "To the content")
        assert outline != "none"
        tab.page.keyboard.press("Enter")

        expect(tab.page.locator("#main")).to_be_focused()


def test_a_machine_is_shown_in_pictures_that_say_what_they_show(browser, house):
    with browser.open(OFFICE, f"/machines/{house.worn}") as tab:
        pictures = tab.page.locator("figure svg[role=img]")

        assert pictures.count() >= 2
        for number in range(pictures.count()):
            assert pictures.nth(number).locator("title").text_content()
        told = tab.page.inner_text("figure >> nth=1")
        assert "limit is reached before" in told


def test_a_number_is_three_clicks_from_its_reading(browser, house):
    with browser.open(OFFICE, f"/machines/{house.worn}", scripts=False) as tab:
        page = tab.page
        page.click(f"#finding-{house.finding} summary")
        follow(page, f"#finding-{house.finding} a[href='/findings/{house.finding}']")
        assert "m = x − L" in page.inner_text("main")
        follow(page, "#readings ~ table a >> nth=0")

        assert re.search(r"/readings/\d+$", page.url)
        assert "Tom Reed" in page.inner_text("main")


def test_a_code_behind_a_link_opens_its_page_and_stays_in_no_address(browser, house):
    membership = house.cast.memberships[TECHNICIAN]
    code = people.address(membership=membership).partition("#")[2]
    asked = []
    page = browser.fresh()
    page.on("request", lambda request: asked.append(request.url))

    page.goto(f"{house.address}/set-password#{code}")

    expect(page.locator("input[type=password]")).to_have_count(2)
    token = code.partition(".")[2]
    assert not [address for address in [*asked, page.url] if token in address]
    page.go_back()
    assert token not in page.url


@pytest.mark.long
@pytest.mark.parametrize(
    "seen", [p for p in PAGES if p.role and p.status == 200], ids=lambda p: p.name
)
def test_a_page_without_scripts_has_its_heading_and_main_part(browser, house, seen):
    with browser.open(seen.role, seen.address(house), scripts=False) as tab:
        assert tab.status == 200
        assert tab.page.locator("h1").count() == 1
        assert len(tab.page.inner_text("main")) > len(tab.page.inner_text("h1"))


def test_the_portfolio_is_narrowed_with_scripts_off(browser, house):
    with browser.open(TECHNICIAN, "/portfolio", scripts=False) as tab:
        tab.page.fill("input[name=text]", "QC-")
        follow(tab.page, "form.filter button")

        assert re.search(r"text=QC-", tab.page.url)
        lines = tab.page.locator("table.lines tbody tr")
        assert lines.count() == 1
        assert "OUT OF SERVICE" in lines.first.inner_text()


def test_language_and_units_are_chosen_on_the_page_itself(browser):
    page = browser.fresh(java_script_enabled=False)
    page.goto(f"{browser.house.address}/log-in")
    page.click("details.person summary")
    page.select_option("#prefer-language", "de")
    follow(page, "details.person button")

    assert page.inner_text("h1") == "Anmelden"


def test_the_ways_are_one_row_on_a_phone_until_they_are_asked_for(browser):
    how = {"width": looking.PHONE, "scripts": False}
    with browser.open(OFFICE, "/portfolio", **how) as tab:
        ways = tab.page.locator("#ways")
        expect(ways).to_be_hidden()
        expect(tab.page.locator("main nav")).to_be_visible()

        tab.page.click("nav button")
        expect(ways).to_be_visible()
        assert tab.too_wide() == []
        follow(tab.page, "nav a[href='/budget']")

        expect(tab.page.locator("h1")).to_contain_text("Budget")

    with browser.open(OFFICE, "/portfolio") as tab:
        expect(tab.page.locator("#ways")).to_be_visible()
        expect(tab.page.locator("nav button")).to_be_hidden()
