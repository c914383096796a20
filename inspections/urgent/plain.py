"""Text of people in a mail: on one line, so that nothing begins a line of its own."""

import re

_CONTROL = re.compile(r"[\x00-\x1f\x7f\x85\u2028\u2029]+")


def plain(text: str) -> str:
    """Return text on one line."""
    return _CONTROL.sub(" ", text)
