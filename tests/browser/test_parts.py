"""Parts of pages that follow by themselves: filters, and work as it goes on."""

import re

from django.db import transaction
from django.utils import timezone
from playwright.sync_api import expect

from fleet.models import ImportFile
from tests import callers
from tests.browser.seen import OFFICE
from tests.browser.waiting import until

# Polls come every three seconds; this long after the last none may come.
_QUIET_MS = 4_000
_SETTLED_MS = 500


def polls(asked, path):
    """Return how often a path was asked for."""
    return sum(url.endswith(path) for url in asked)


def test_a_filter_changes_the_lines_and_the_address_and_back_leads_back(browser):
    with browser.open(OFFICE, "/portfolio") as tab:
        page = tab.page
        lines = page.locator("table.lines tbody tr")
        whole = lines.count()
        page.evaluate("window.loadedOnce = true")
        entries = page.evaluate("history.length")
        done = []
        page.on("requestfinished", lambda request: done.append(request.url))

        page.fill("input[name=text]", "QC-")
        page.keyboard.press("Enter")
        page.wait_for_url(re.compile("text=QC-"))
        # Not by wait_for_function: where it asks twice, the page's policy refuses it.
        expect(page.locator("#told")).to_have_text("1 machine is shown.")

        expect(lines).to_have_count(1)
        assert whole > 1
        expect(lines.first).to_contain_text("OUT OF SERVICE")
        assert page.evaluate("window.loadedOnce") is True
        assert page.evaluate("document.activeElement.name") == "text"
        # Enter asks for the change and to send it: both are one step back.
        until(page, lambda: len([url for url in done if "text=QC-" in url]) == 2)
        page.wait_for_timeout(_SETTLED_MS)
        assert page.evaluate("history.length") == entries + 1
        page.go_back()
        expect(lines).to_have_count(whole)
        assert not tab.complaints


def test_a_long_import_is_followed_until_it_is_done_and_not_longer(browser, house):
    path = f"/imports/{house.waiting_file}"
    with browser.open(OFFICE, path) as tab:
        asked = []
        tab.page.on("requestfinished", lambda request: asked.append(request.url))
        with transaction.atomic():
            callers.confine(house.cast)
            file = ImportFile.objects.get(pk=house.waiting_file)
            kept = file.content
            ImportFile.objects.filter(pk=file.pk).update(
                finished_at=timezone.now(),
                status=200,
                answer={"rows": 7, "stored": True, "resource": "owners"},
                content=None,
            )

        tab.page.wait_for_selector("text=All of it is stored.")
        # The page may show an answer before it is told of that its request has ended.
        until(tab.page, lambda: polls(asked, path))
        tab.page.wait_for_timeout(_SETTLED_MS)
        polled = polls(asked, path)
        tab.page.wait_for_timeout(_QUIET_MS)

        assert polls(asked, path) == polled
        assert not tab.complaints
        with transaction.atomic():
            callers.confine(house.cast)
            ImportFile.objects.filter(pk=file.pk).update(
                finished_at=None, status=None, answer=None, content=kept
            )


def test_a_part_asked_for_after_the_session_ended_leads_to_the_log_in(browser, house):
    page = browser.fresh()
    page.context.add_cookies(
        [{"name": "sessionid", "value": "gone", "url": house.address}]
    )

    answer = page.request.get(
        f"{house.address}/portfolio", headers={"HX-Request": "true"}, max_redirects=0
    )

    assert answer.status == 200
    assert answer.headers["hx-refresh"] == "true"
    assert "machine" not in answer.text()
