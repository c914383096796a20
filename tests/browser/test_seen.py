"""Every page in every state, by axe-core: on a desk, and on a phone in German."""

from contextlib import contextmanager

import pytest

from tests.browser import looking
from tests.browser.seen import PAGES

SEEN = pytest.mark.parametrize("seen", PAGES, ids=lambda seen: seen.name)


@SEEN
def test_a_page_has_no_violation_and_loads_nothing_that_is_refused(
    browser, house, seen
):
    with browser.open(seen.role, seen.address(house)) as tab:
        found = tab.violations()

        assert tab.status == seen.status
        assert found == []
        assert tab.complaints == []


@SEEN
def test_a_page_fits_a_phone_in_german_and_inches(browser, house, seen):
    with on_a_phone(browser, house, seen) as tab:
        assert tab.page.get_attribute("html", "lang") == "de"
        assert tab.too_wide() == []


@pytest.mark.long
@SEEN
def test_a_page_on_a_phone_has_no_violation(browser, house, seen):
    with on_a_phone(browser, house, seen) as tab:
        assert tab.violations() == []


@contextmanager
def on_a_phone(browser, house, seen):
    """Open a page on a phone, in German with inches, all of it unfolded."""
    german = {"language": "de", "units": "INCH"}
    with browser.open(
        seen.role, seen.address(house), width=looking.PHONE, **german
    ) as tab:
        tab.page.evaluate("document.querySelectorAll('details').forEach(d=>d.open=1)")
        yield tab
