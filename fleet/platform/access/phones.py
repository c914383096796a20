"""Paired phones as they last said how they are: seen, unsent, version, clock."""

from dataclasses import dataclass
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from fleet.platform.models import Membership, Phone, Token

# A clock of a year that cannot be tells nothing of its offset; the phone says it again.
_MOST_OFFSET_S = 20 * 366 * 86_400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneWord:
    """What a phone says of itself; its own clock as it stood when it said so."""

    app_version: str
    unsent: int
    clock: datetime | None


def note(*, phone_id: int, said: PhoneWord, at: datetime) -> None:
    """Keep what a phone has said, in the place of what it said before."""
    offset_s = (at - said.clock).total_seconds() if said.clock is not None else None
    if offset_s is not None and abs(offset_s) > _MOST_OFFSET_S:
        offset_s = None
    Phone.objects.filter(pk=phone_id).update(
        contacted_at=at,
        app_version=said.app_version,
        unsent=said.unsent,
        clock_offset_s=offset_s,
    )


def unsent_of(*, membership: Membership) -> int:
    """Return how many readings somebody's phones last said that they had not sent.

    Only phones that may still send are asked; of others it was told when they ended.
    """
    rows = Phone.objects.filter(token__membership=membership, token__revoked_at=None)
    return sum(phone.unsent or 0 for phone in rows)


def listed(*, scope: Scope) -> list[Phone]:
    """Return the phones that the scope may see, those that still send first.

    Outside row-level security: the filter is the ring.
    """
    rows = Phone.objects.filter(token__in=Token.objects.within(scope))
    rows = rows.select_related("token__membership__person")
    return sorted(
        rows.order_by("-paired_at", "-pk"),
        key=lambda phone: phone.token.revoked_at is not None,
    )
