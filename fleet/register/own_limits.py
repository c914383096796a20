"""The criteria set of a building and a contractor's own limits: what can be judged by.

A code or a limit that nothing knows would end every judgement of the building's
machines. What knows them stands above the register; the settings name it.
"""

from collections.abc import Callable, Mapping
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.module_loading import import_string

MOST = 100
LONGEST_SOURCE = 300
MOST_VALUE = 1e12


def refusal_of_set(code: str) -> str:
    """Return why a building cannot have this set, "" where it can."""
    known: Callable[[str], str] = import_string(settings.REFUSAL_OF_CRITERIA_SET)
    return known(code)


def refusal(found: Any) -> str:
    """Return why own limits cannot be taken as given, "" where they can.

    found : limit code -> {"value": a number, "source": a text}
    """
    if not isinstance(found, dict) or len(found) > MOST:
        return "It must be an object."
    for code, override in found.items():
        if not _is_override(override) or "\x00" in code + override["source"]:
            return f'{code[:60]}: give {{"value": a number, "source": a text}}.'
    values = {code: float(override["value"]) for code, override in found.items()}
    known: Callable[[Mapping[str, float]], str]
    known = import_string(settings.REFUSAL_OF_OWN_LIMITS)
    return known(values)


def check_set(code: str) -> None:
    """Refuse a criteria set that nothing knows. Raises ValidationError."""
    if said := refusal_of_set(code):
        raise ValidationError(said, code="unknown-criteria")


def check(found: Any) -> None:
    """Refuse own limits that cannot be judged by. Raises ValidationError."""
    if said := refusal(found):
        raise ValidationError(said, code="invalid")


def _is_override(found: Any) -> bool:
    if not isinstance(found, dict) or set(found) != {"value", "source"}:
        return False
    value, source = found["value"], found["source"]
    return (
        isinstance(value, (int, float))
        and not isinstance(value, bool)
        and abs(value) < MOST_VALUE
        and isinstance(source, str)
        and 0 < len(source) <= LONGEST_SOURCE
    )
