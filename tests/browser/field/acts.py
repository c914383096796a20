"""What a technician does on the page, each act waited for."""

from playwright import sync_api as playwright
from playwright.sync_api import expect

from tests.browser.field.phone import until

TICK = "output.tick:not(:empty)"
_SENT = """
async (count) => { const kept = await import('/static/field/kept.js');
  const states = (await kept.readings()).map((each) => each.state);
  return states.filter((each) => each === 'stored').length === count
    && !states.some((each) => kept.UNSENT.includes(each)); }
"""


def wait(page: playwright.Page, count: int) -> None:
    """Wait until so many fields show their tick."""
    expect(page.locator(TICK)).to_have_count(count)


def enter(page: playwright.Page, text: str, *, place: int = 0) -> None:
    """Type into a field and press Enter; wait until it is kept and the field empty."""
    field = page.locator("input.value").nth(place)
    field.fill(text)
    field.press("Enter")
    expect(field).to_have_value("")


def sent(page: playwright.Page, count: int) -> None:
    """Wait until so many readings are stored at the server, and none waits."""
    until(page, _SENT, count)
    expect(page.locator("#head")).not_to_contain_text("send:")


def go(page: playwright.Page, place: str) -> None:
    """Go to a screen, and wait until what was shown before is gone."""
    before = page.query_selector("main > *")
    page.evaluate("place => { location.hash = `/${place}`; }", place)
    until(page, "before => !before.isConnected", before)


def off(page: playwright.Page) -> None:
    """Take the signal away."""
    page.context.set_offline(True)
