"""Every page in every state, by axe-core: in German, whose words are longer."""

from contextlib import contextmanager

import pytest

from tests.browser import looking
from tests.browser.sampled import SAMPLED
from tests.browser.seen import PAGES

GERMAN = {"language": "de", "units": "INCH"}
SEEN = pytest.mark.parametrize("seen", PAGES, ids=lambda seen: seen.name)


@pytest.mark.parametrize(
    "seen",
    [
        pytest.param(
            seen, id=seen.name, marks=() if seen.name in SAMPLED else pytest.mark.long
        )
        for seen in PAGES
    ],
)
def test_a_page_has_no_violation_and_narrowed_to_a_phone_it_fits(browser, house, seen):
    with shown(browser, house, seen, **GERMAN) as tab:
        found = tab.violations()

        assert tab.status == seen.status
        assert tab.page.get_attribute("html", "lang") == "de"
        assert found == []
        assert tab.complaints == []
        tab.narrow()
        assert tab.too_wide() == []


@pytest.mark.long
@SEEN
@pytest.mark.parametrize(
    ("width", "how"), [(looking.PHONE, GERMAN), (looking.DESK, {})]
)
def test_a_page_on_a_phone_or_in_english_has_none(browser, house, seen, width, how):
    with shown(browser, house, seen, width=width, **how) as tab:
        tab.unfold()

        assert tab.violations() == []
        assert tab.complaints == []


@contextmanager
def shown(browser, house, seen, **how):
    """Open a page and bring it into its state."""
    with browser.open(seen.role, seen.address(house), **how) as tab:
        if seen.act is not None:
            seen.act(tab.page)
        yield tab
