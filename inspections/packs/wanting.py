"""What a server that was restored from a backup has lost and a phone still has."""

from collections.abc import Sequence

from fleet.platform.database.tenancy import Scope
from inspections.models import Reading, VisitPhoto


def wanted(*, scope: Scope, references: Sequence[str]) -> list[str]:
    """Return those of a phone's references that no reading here has, in their order.

    Of any person: a reference is once in a house, and what is stored is not asked for.
    """
    rows = Reading.objects.within(scope).filter(reference__in=references)
    stored = set(rows.values_list("reference", flat=True))
    return [reference for reference in references if reference not in stored]


def wanted_photos(
    *, scope: Scope, kept: Sequence[tuple[str, str]]
) -> list[tuple[str, str]]:
    """Return those of a phone's photos that are not here, in their order.

    Each is its visit's reference and the digest of its bytes as they were sent.
    """
    rows = VisitPhoto.objects.within(scope).filter(
        visit__reference__in={visit for visit, _ in kept},
        sent_sha256__in={digest for _, digest in kept},
    )
    stored = set(rows.values_list("visit__reference", "sent_sha256"))
    return [each for each in kept if each not in stored]
