"""Which of two readings counts: corrections by one person, and what two people say."""

from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from fleet.register.choices import WorkKind
from inspections.kinds import KINDS
from inspections.kinds.kind import Direction
from inspections.models import Reading, ReadingReview, VisitKind

_PARTS = ("sheave_id", "groove_id", "rope_id")
PLACE = ("kind", *_PARTS, "place")
_AT = tuple(f"at_{each}" for each in _PARTS)
# Kinds by the way in which a number of theirs is worse.
_FALLING = sorted(k.code for k in KINDS.values() if k.worse is Direction.FALLS)
_RISING = sorted(
    kind.code
    for kind in KINDS.values()
    if kind.worse in (Direction.RISES, Direction.COUNTS_UP)
)

# What later crowns are counted from: the higher it begins, the deeper they have sunk.
_BEGINS = Q(
    kind="rope_crown_height",
    visit__kind=VisitKind.AS_LEFT,
    visit__work__kind__in=(
        WorkKind.REGROOVING,
        WorkKind.SHEAVE_REPLACEMENT,
        WorkKind.RIM_RENEWAL,
    ),
)


def outdone(rows: QuerySet[Reading]) -> QuerySet[Any]:
    """Return the ids of numbers beside which a worse one stands that must not yield.

    Another person read or confirmed it, or it corrects the better one.
    """
    shared = rows.annotate(**{f"at_{each}": Coalesce(each, 0) for each in _PARTS})
    is_lower, is_higher = Q(value__lt=OuterRef("value")), Q(value__gt=OuterRef("value"))
    is_worse = (
        (Q(kind__in=_FALLING) & ~_BEGINS & is_lower)
        | (Q(kind__in=_RISING) & is_higher)
        | (_BEGINS & is_higher)
    )
    worse = shared.filter(
        is_worse,
        ~Q(upload__membership_id=OuterRef("upload__membership_id"))
        | Q(Exists(confirmed(reading=OuterRef("pk"))))
        | Q(corrects=OuterRef("pk")),
        **{each: OuterRef(each) for each in ("visit", "kind", "place", *_AT)},
    )
    return shared.filter(Exists(worse)).values("pk")


def own(rows: QuerySet[Reading]) -> QuerySet[Reading]:
    """Return the corrections made by the same person, at the same place and visit.

    Not those of what somebody else has confirmed: two have said that it is so.
    """
    same = Q(
        corrects__isnull=False,
        corrects__visit=F("visit"),
        corrects__upload__membership_id=F("upload__membership_id"),
        corrects__place=F("place"),
    )
    for part in ("groove", "rope", "sheave"):
        same &= Q(**{f"corrects__{part}": F(part)}) | Q(
            **{f"corrects__{part}": None, part: None}
        )
    said = confirmed(reading=OuterRef("corrects_id"))
    return rows.filter(same).exclude(Exists(said))


def confirmed(*, reading: OuterRef) -> QuerySet[ReadingReview]:
    """Return the words by which somebody else than who sent a row has confirmed it."""
    words = ReadingReview.objects.filter(reading=reading, accepted=True)
    return words.exclude(membership_id=OuterRef("upload__membership_id"))
