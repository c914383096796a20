"""What a server that was restored from a backup has lost and a phone still has."""

from collections.abc import Sequence

from fleet.platform.database.tenancy import Scope
from inspections.models import Reading


def wanted(*, scope: Scope, references: Sequence[str]) -> list[str]:
    """Return those of a phone's references that no reading here has, in their order.

    Of any person: a reference is once in a house, and what is stored is not asked for.
    """
    rows = Reading.objects.within(scope).filter(reference__in=references)
    stored = set(rows.values_list("reference", flat=True))
    return [reference for reference in references if reference not in stored]
