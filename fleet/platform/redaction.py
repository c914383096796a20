"""What a log may hold: never a key, and no part of an address that is one by itself.

A log is read by more people than may use what stands in it.
"""

import re

# Longer than any word or number of the service's own addresses.
LONGEST_WORD = 24

_KEY = re.compile(r"(rseat_[0-9a-f]{4})[0-9a-f]*_[\w-]+")
_BEARER = re.compile(r"(?i)\b(bearer)\s+[^\s'\"]+")
_LONG_PART = re.compile(rf"(?<=/)[^\s/?'\"]{{{LONGEST_WORD + 1},}}")


def shown(path: str) -> str:
    """Return a path with each long part left out.

    >>> shown("/api/v1/report-links/3.14.Zm9vYmFyYmF6cXV4:9f8e7d")
    '/api/v1/report-links/...'
    >>> shown("/api/v1/machines/17/condition")
    '/api/v1/machines/17/condition'
    """
    parts = path.split("/")
    return "/".join(part if len(part) <= LONGEST_WORD else "..." for part in parts)


def without_keys(text: str) -> str:
    """Return a text in which no device's key stands whole.

    >>> without_keys("tried rseat_0123456789ab_c2VjcmV0LXNlY3JldA")
    'tried rseat_0123...'
    """
    return _BEARER.sub(r"\1 ...", _KEY.sub(r"\1...", text))


def message(text: str) -> str:
    """Return a log message without keys and without long parts of addresses.

    >>> message("Gone: /api/v1/report-links/3.14.Zm9vYmFyYmF6cXV4:9f8e7d")
    'Gone: /api/v1/report-links/...'
    """
    return _LONG_PART.sub("...", without_keys(text))
