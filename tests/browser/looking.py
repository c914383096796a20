"""Open a page as one of the house's people would, and say what is wrong with it."""

from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from typing import Any

from playwright import sync_api as playwright

from tests.browser.house import House
from tests.browser.waiting import be_patient

DESK, PHONE = 1280, 360
# WCAG 2.2 to level AA, and what axe-core itself counts as good practice.
RULES = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
_ASK_AXE = """
tags => axe.run(document, {runOnly: {type: 'tag', values: tags}, resultTypes:
  ['violations']}).then(found => found.violations.flatMap(rule => rule.nodes.map(
  node => `${rule.id}: ${node.target.join(' ')}: ${node.failureSummary}`)))
"""
_TOO_WIDE = """
() => {
  const width = document.documentElement.clientWidth;
  const inside = e => e.parentElement && e.parentElement.closest('.wide');
  if (document.documentElement.scrollWidth <= width) return [];
  return [...document.querySelectorAll('body *')]
    .filter(e => e.getBoundingClientRect().right > width + 1 && !inside(e))
    .map(e => `${e.tagName} ${e.className}: ${e.getBoundingClientRect().right}`)
    .concat(`page: ${document.documentElement.scrollWidth} of ${width}`);
}
"""


@cache
def axe() -> str:
    """Return axe-core's script, as its package carries it."""
    script = resources.files("axe_playwright_python") / "axe.min.js"
    return script.read_text(encoding="utf-8")


@dataclass
class Browser:
    """One window a role; a role of "" is nobody's."""

    chromium: playwright.Browser
    house: House
    windows: dict[tuple[str, bool], playwright.BrowserContext] = field(
        default_factory=dict
    )
    # Tabs that nobody looks at any more, by their window: to open one takes long.
    left: dict[tuple[str, bool], list[playwright.Page]] = field(default_factory=dict)

    def open(
        self,
        role: str,
        path: str,
        *,
        width: int = DESK,
        language: str = "en",
        units: str = "METRIC",
        scripts: bool = True,
    ) -> "Tab":
        """Open a page in a tab of its own."""
        window = self._window(role, scripts)
        kept = {"django_language": language, "units": units}
        window.add_cookies(
            [
                {"name": n, "value": v, "url": self.house.address}
                for n, v in kept.items()
            ]
        )
        left = self.left.setdefault((role, scripts), [])
        tab = Tab(page=left.pop() if left else window.new_page(), left=left)
        tab.page.set_viewport_size({"width": width, "height": 900})
        tab.go(f"{self.house.address}{path}")
        return tab

    def fresh(self, **how: Any) -> playwright.Page:
        """Return a tab of a browser that knows nothing yet."""
        window = be_patient(self.chromium.new_context(**how))
        self.windows[f"fresh {len(self.windows)}", True] = window
        return window.new_page()

    def close(self) -> None:
        """Close every window."""
        for window in self.windows.values():
            window.close()

    def _window(self, role: str, scripts: bool) -> playwright.BrowserContext:
        found = self.windows.get((role, scripts))
        if found is None:
            found = self.chromium.new_context(java_script_enabled=scripts)
            self.windows[role, scripts] = be_patient(found)
            if role:
                value = self.house.cookies[role]
                cookie = {"name": "sessionid", "value": value}
                found.add_cookies([cookie | {"url": self.house.address}])
        return found


@dataclass
class Tab:
    """A page, and what the browser complained of while it was shown."""

    page: playwright.Page
    left: list[playwright.Page]
    status: int = 0
    complaints: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        for event, hear in self._ears().items():
            self.page.on(event, hear)  # type: ignore[call-overload]

    def __enter__(self) -> "Tab":
        return self

    def __exit__(self, failed: object, *_: object) -> None:
        for event, hear in self._ears().items():
            self.page.remove_listener(event, hear)
        if failed or self.page.is_closed():
            self.page.close()
        else:
            self.left.append(self.page)

    def _ears(self) -> dict[str, Any]:
        return {
            "console": self._hear,
            "pageerror": self._fail,
            "response": self._note,
        }

    def _fail(self, error: playwright.Error) -> None:
        self.complaints.append(str(error))

    def go(self, address: str) -> None:
        """Open an address; the status of what is shown is kept, here as later."""
        self.page.goto(address)

    def violations(self) -> list[str]:
        """Return what axe-core finds wrong, element by element."""
        self.page.evaluate(axe())
        return list(self.page.evaluate(_ASK_AXE, list(RULES)))

    def too_wide(self) -> list[str]:
        """Return what makes the page scroll sideways."""
        return list(self.page.evaluate(_TOO_WIDE))

    def unfold(self) -> None:
        """Open whatever opens."""
        self.page.evaluate("document.querySelectorAll('details').forEach(d=>d.open=1)")

    def narrow(self) -> None:
        """Make the window as narrow as a phone, with all of the page unfolded."""
        self.page.set_viewport_size({"width": PHONE, "height": 740})
        self.unfold()

    def text(self) -> str:
        """Return what stands on the page."""
        return " ".join(self.page.inner_text("body").split())

    def _note(self, answer: playwright.Response) -> None:
        if answer.request.is_navigation_request():
            self.status = answer.status

    def _hear(self, message: playwright.ConsoleMessage) -> None:
        # A page that is refused on purpose is logged by the browser as an error.
        if message.type in ("error", "warning") and "status of 4" not in message.text:
            self.complaints.append(message.text)
