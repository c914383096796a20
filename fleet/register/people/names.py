"""What a contractor's people are called."""

from collections.abc import Iterable

from fleet.platform.database.tenancy import Scope
from fleet.platform.models import Membership, Person


def called(person: Person) -> str:
    """Return the name as people write it; the login where there is none."""
    return person.get_full_name() or person.get_username()


def names_of(*, scope: Scope, ids: Iterable[int] | None = None) -> dict[int, str]:
    """Return the names of the contractor's people, by membership; of all without ids.

    Not `within`: a reader of an owner is told who did what, where that may be told.
    """
    rows = Membership.objects.filter(contractor_id=scope.contractor_id)
    if ids is not None:
        rows = rows.filter(pk__in=set(ids))
    return {row.pk: called(row.person) for row in rows.select_related("person")}
