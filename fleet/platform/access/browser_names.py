"""Which browser and system a session was opened with, in a word or two for its person.

A browser may say of itself what it likes: the words help somebody to know their own
sessions again, and decide nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass

# Common practice, no source. Most name others besides themselves (for servers of long
# ago), so the first mark that is there decides.
_BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser/", "Samsung Internet"),
    ("FxiOS/", "Firefox"),
    ("Firefox/", "Firefox"),
    ("CriOS/", "Chrome"),
    ("Chrome/", "Chrome"),
    ("Version/", "Safari"),
)
_SYSTEMS = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Android", "Android"),
    ("CrOS", "ChromeOS"),
    ("Windows", "Windows"),
    ("Mac OS X", "macOS"),
    ("Linux", "Linux"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """Common names; empty where what the browser says holds none of them."""

    browser: str
    system: str


def names_in(agent: str) -> Names:
    """Return what a `User-Agent` names (RFC 9110, 10.1.5).

    >>> names_in("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Firefox/140.0")
    Names(browser='Firefox', system='Linux')
    """
    return Names(browser=_first(_BROWSERS, agent), system=_first(_SYSTEMS, agent))


def _first(table: Sequence[tuple[str, str]], agent: str) -> str:
    return next((name for mark, name in table if mark in agent), "")
