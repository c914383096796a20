"""Wait for what an act leads to: nothing is read right after a click.

A page answers when it comes to it. What is read before is of the page before.
"""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from playwright import sync_api as playwright

# Long beside what a page takes, so that a busy machine fails no test.
PATIENCE_S = 90


def be_patient(window: playwright.BrowserContext) -> playwright.BrowserContext:
    """Let nothing in a window fail because its machine is slow."""
    window.set_default_timeout(1000.0 * PATIENCE_S)
    return window


@contextmanager
def next_page(page: playwright.Page) -> Iterator[None]:
    """Do what the block does, and wait until the page that it leads to is there."""
    with page.expect_navigation():
        yield


def follow(page: playwright.Page, where: str) -> None:
    """Click on what leads to another page, or to the same anew; wait for that page."""
    with next_page(page):
        page.click(where)


def until(page: playwright.Page, is_so: Callable[[], object]) -> None:
    """Ask again and again until the answer is yes, and let the page go on meanwhile."""
    end = time.monotonic() + PATIENCE_S
    while not is_so():
        if time.monotonic() > end:
            raise TimeoutError("it never came to be so")
        page.wait_for_timeout(30)
