"""The rule of one table: who sees it, and which of its fields.

Which of its rows there are is said by the scope (`TenantQuerySet.within`).
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from fleet.platform.choices import Role
from fleet.platform.database.tenancy import Scope

EVERYONE = frozenset(Role.values)
STAFF = frozenset({Role.OFFICE.value, Role.TECHNICIAN.value})
OFFICE = frozenset({Role.OFFICE.value})


@dataclass(frozen=True, slots=True, kw_only=True)
class Visibility:
    """The rule of one table.

    `roles` see the table at all. `only` names the fields that fewer of them see, and
    `reduced` those of which everyone but the office sees a part.
    """

    roles: frozenset[str] = EVERYONE
    only: Mapping[str, frozenset[str]] = field(default_factory=dict)
    reduced: Mapping[str, Callable[[Any], Any]] = field(default_factory=dict)

    def admits(self, scope: Scope) -> bool:
        """Whether the scope sees the table at all."""
        return sees_everything(scope) or scope.role in self.roles

    def names(self, names: Iterable[str], *, scope: Scope) -> list[str]:
        """Return those of the fields that the scope sees, in their order."""
        return [name for name in names if self._shows(name, scope)]

    def value(self, name: str, value: Any, *, scope: Scope) -> Any:
        """Return as much of a field's value as the scope sees."""
        if name not in self.reduced or sees_everything(scope):
            return value
        return self.reduced[name](value)

    def shown(self, values: Mapping[str, Any], *, scope: Scope) -> dict[str, Any]:
        """Return a row's values as the scope sees them."""
        return {
            name: self.value(name, values[name], scope=scope)
            for name in self.names(values, scope=scope)
        }

    def _shows(self, name: str, scope: Scope) -> bool:
        return sees_everything(scope) or scope.role in self.only.get(name, EVERYONE)


def sees_everything(scope: Scope) -> bool:
    """Whether nothing is kept back: from the office and from the server's own work."""
    is_server = scope.membership_id is None and not scope.role
    return scope.role == Role.OFFICE or (is_server and scope.owner_id is None)


def only(who: frozenset[str], *names: str) -> dict[str, frozenset[str]]:
    """Return the fields with who alone sees them."""
    return dict.fromkeys(names, who)


def without(*names: str) -> Callable[[Any], Any]:
    """Return a way to take the named keys out of a JSON object."""
    return lambda value: {k: v for k, v in (value or {}).items() if k not in names}


def just(*names: str) -> Callable[[Any], Any]:
    """Return a way to leave only the named keys in a JSON object."""
    return lambda value: {k: v for k, v in (value or {}).items() if k in names}
