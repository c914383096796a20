"""What a surface asks before it shows or does something.

A view of the API, a page, a file on its way out and a calendar ask the same. They give
the scope of whoever is asking; without one nothing is seen and nothing may be done.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from fleet.platform.database.tenancy import Scope
from fleet.platform.visibility.acts import Act


def may(act: Act, *, scope: Scope | None, good_for: list[str] | None = None) -> bool:
    """Tell whether someone may do something; `good_for` are the uses of their key.

    A logged-in person has no key, which is None.
    """
    return act.allows(scope, good_for=good_for)


def sees(model: Any, *, scope: Scope | None) -> bool:
    """Tell whether someone sees a table at all."""
    return scope is not None and bool(model.visibility.admits(scope))


def rows(model: Any, *, scope: Scope | None) -> Any:
    """Return the rows of a table that someone sees; none without a scope."""
    if scope is None or not sees(model, scope=scope):
        return model.objects.none()
    return model.objects.within(scope)


def fields(model: Any, names: Iterable[str], *, scope: Scope) -> list[str]:
    """Return those of a table's fields that someone sees, in their order."""
    found: list[str] = model.visibility.names(names, scope=scope)
    return found


def shown(model: Any, values: Mapping[str, Any], *, scope: Scope) -> dict[str, Any]:
    """Return as much of a row's values as someone sees."""
    found: dict[str, Any] = model.visibility.shown(values, scope=scope)
    return found
