"""Tables that end where nobody reads on, and say how much more there is."""

from django.utils.translation import ngettext

# A table or strip longer than this is not read; how many more there are is said.
MOST_ROWS = 60


def and_more(count: int) -> str:
    """Return how many of a count are not listed; empty where all are."""
    if count <= MOST_ROWS:
        return ""
    rest = count - MOST_ROWS
    more = ngettext(
        "%(count)s more is not listed here.",
        "%(count)s more are not listed here.",
        rest,
    )
    return more % {"count": rest}
