"""What a contractor's people are called."""

from collections.abc import Iterable

from fleet.platform.database.tenancy import Scope
from fleet.platform.models import Membership
from fleet.platform.naming import called

__all__ = ["called", "names_of"]


def names_of(*, scope: Scope, ids: Iterable[int] | None = None) -> dict[int, str]:
    """Return the names of the contractor's people, by membership; of all without ids.

    Not `within`: a reader of an owner is told who did what, where that may be told.
    """
    rows = Membership.objects.filter(contractor_id=scope.contractor_id)
    if ids is not None:
        rows = rows.filter(pk__in=set(ids))
    return {row.pk: called(row.person) for row in rows.select_related("person")}
