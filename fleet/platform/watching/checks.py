"""Is the second ring whole? A role that could step around it is refused.

PostgreSQL lets superusers, roles with BYPASSRLS and owners of a table see every row
(manual, 5.9). A web server with such a role would work, and show everybody everything
as soon as one filter is forgotten.
"""

from collections.abc import Sequence
from typing import Any

from django.core import checks
from django.db import connections


def powers() -> list[str]:
    """Return what the application's role may do that it must not; best, nothing."""
    with connections["default"].cursor() as cursor:
        cursor.execute(_POWERS)
        superuser, bypasses, owns = cursor.fetchone()
    found = []
    if superuser:
        found.append("is a superuser")
    if bypasses:
        found.append("may bypass row-level security")
    if owns:
        found.append("owns tables, or may act as their owner")
    return found


_POWERS = """
SELECT rolsuper, rolbypassrls, EXISTS (
    SELECT FROM pg_class
    WHERE relnamespace = 'public'::regnamespace AND relkind IN ('r', 'p')
    AND pg_has_role(current_user, relowner, 'MEMBER')
)
FROM pg_roles WHERE rolname = current_user
"""


@checks.register(checks.Tags.database)
def application_role(
    *, databases: Sequence[str] | None = None, **_: Any
) -> list[checks.CheckMessage]:
    """Refuse a role that row-level security does not bind."""
    if "default" not in (databases or ()):
        return []
    return [
        checks.Error(
            f"The role of DATABASE_URL {power}.",
            hint="Name the application's own role there: see manage.py roles.",
            id="fleet.E001",
        )
        for power in powers()
    ]
