"""Which readings count: corrections by one person, and what two people say.

Asked of one table after another by their numbers, for statistics that know nothing of
a contractor yet let the planner go through the product of all that it has.
"""

from collections import defaultdict
from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from django.db.models import QuerySet

from fleet.platform.database.tenancy import Scope
from fleet.register.choices import WorkKind
from inspections.kinds import KINDS
from inspections.kinds.kind import Direction
from inspections.models import (
    Reading,
    ReadingReview,
    ReadingState,
    Upload,
    Visit,
    VisitKind,
)

PLACE = ("kind", "sheave_id", "groove_id", "rope_id", "place")
# Kinds by the way in which a number of theirs is worse.
_FALLING = {k.code for k in KINDS.values() if k.worse is Direction.FALLS}
_RISING = {
    kind.code
    for kind in KINDS.values()
    if kind.worse in (Direction.RISES, Direction.COUNTS_UP)
}


class _Head(NamedTuple):
    """What is asked of each reading first."""

    pk: int
    state: str
    value: float | None
    corrects: int | None
    visit: int
    upload: int | None
    kind: str
    sheave: int | None
    groove: int | None
    rope: int | None
    place: dict[str, Any]

    @property
    def here(self) -> Hashable:
        """Return the visit, the part and the place on it."""
        place = tuple(sorted(self.place.items()))
        return self.visit, self.sheave, self.groove, self.rope, place

    @property
    def what(self) -> Hashable:
        """Return kind, part and place on it, as PostgreSQL tells them apart.

        To Python 1 is the same as true, to it they are two.
        """
        named = ((key, isinstance(at, bool), at) for key, at in self.place.items())
        place = tuple(sorted(named))
        return self.kind, self.sheave, self.groove, self.rope, place


def standing(
    *, scope: Scope, rows: QuerySet[Reading]
) -> tuple[Collection[int], Collection[int]]:
    """Return the ids of the readings that count, and of those somebody has confirmed.

    What counts is said in `queries.usable_readings`; `rows` are all of their machines.
    """
    return _standing(scope, _heads(rows))


def last(
    *, scope: Scope, rows: QuerySet[Reading]
) -> tuple[Collection[int], Collection[int]]:
    """Return, as `standing` does, the last alone that counts of a kind at a place.

    Told here: to sort whole readings by their places takes the database longer than all
    else that the machine's page asks.
    """
    heads = _heads(rows, by=("taken_at", "pk"))
    stands, confirmed = _standing(scope, heads)
    found = {head.what: head.pk for head in heads.values() if head.pk in stands}
    return set(found.values()), confirmed


def _standing(
    scope: Scope, heads: Mapping[int, _Head]
) -> tuple[Collection[int], Collection[int]]:
    authors = _members(Upload, scope, {head.upload for head in heads.values()})
    words = last_words(scope=scope, ids=list(heads))
    stands = [
        head
        for head in heads.values()
        if words.get(head.pk, head.state != ReadingState.HELD)
    ]
    corrected = set(_own(scope, stands, heads, authors).values())
    stands = [head for head in stands if head.pk not in corrected]
    visits = _visits_of_several(scope, heads.values(), authors)
    outdone = _outdone(scope, [h for h in stands if h.visit in visits], authors)
    confirmed = {pk for pk, accepted in words.items() if accepted}
    return {head.pk for head in stands} - outdone, confirmed


def own(*, scope: Scope, ids: Collection[int]) -> Mapping[int, int]:
    """Return the corrections by the same person, at the same place and visit.

    From each such correction's id to that of what it corrects. Not those of what
    somebody else has confirmed: two have said that it is so.
    """
    readings = Reading.objects.within(scope)
    new = _heads(readings.filter(pk__in=list(ids), corrects__isnull=False))
    old = _heads(readings.filter(pk__in={head.corrects for head in new.values()}))
    uploads = {head.upload for heads in (new, old) for head in heads.values()}
    return _own(scope, new.values(), old, _members(Upload, scope, uploads))


def _own(
    scope: Scope,
    new: Iterable[_Head],
    old: Mapping[int, _Head],
    authors: Mapping[int | None, int | None],
) -> dict[int, int]:
    found = {}
    for head in new:
        before = old.get(head.corrects or 0)
        if (
            before is not None
            and before.here == head.here
            and not _is_another(authors.get(head.upload), authors.get(before.upload))
        ):
            found[head.pk] = before.pk
    by_whom = {pk: authors.get(old[pk].upload) for pk in found.values()}
    confirmed = _confirmed(scope, by_whom)
    return {new: old for new, old in found.items() if old not in confirmed}


def _heads(rows: QuerySet[Reading], *, by: Sequence[str] = ("pk",)) -> dict[int, _Head]:
    names = ("pk", "state", "value", "corrects_id", "visit_id", "upload_id", *PLACE)
    found = [_Head(*row) for row in rows.order_by(*by).values_list(*names)]
    return {head.pk: head for head in found}


def last_words(*, scope: Scope, ids: Collection[int]) -> dict[int, bool]:
    """Return whether the last review of each reading accepts it, by its id."""
    reviews = ReadingReview.objects.within(scope).filter(reading__in=list(ids))
    return dict(reviews.order_by("pk").values_list("reading_id", "accepted"))


def _outdone(
    scope: Scope, stands: Iterable[_Head], authors: Mapping[int | None, int | None]
) -> set[int]:
    """Return the ids of numbers beside which a worse one stands that must not yield.

    Another person read or confirmed it, or it corrects the better one.
    """
    together: dict[Hashable, list[_Head]] = defaultdict(list)
    for head in stands:
        together[head.kind, head.here].append(head)
    shared = [heads for heads in together.values() if len(heads) > 1]
    by_whom = {h.pk: authors.get(h.upload) for heads in shared for h in heads}
    if not by_whom:
        return set()
    begun = set(_begun(Reading.objects.within(scope).filter(pk__in=list(by_whom))))
    confirmed = _confirmed(scope, by_whom)
    return {
        head.pk
        for heads in shared
        for head in heads
        for other in heads
        if _is_worse(other, head, begins=other.pk in begun)
        and (
            other.pk in confirmed
            or other.corrects == head.pk
            or _is_another(by_whom[other.pk], by_whom[head.pk])
        )
    }


def _visits_of_several(
    scope: Scope, heads: Collection[_Head], authors: Mapping[int | None, int | None]
) -> Collection[int]:
    """Return the visits that more than their maker sent to, or that were corrected."""
    makers = _members(Visit, scope, {head.visit for head in heads})
    return {
        head.visit
        for head in heads
        if head.corrects is not None
        or _is_another(authors.get(head.upload), makers.get(head.visit))
    }


def _is_another(one: int | None, other: int | None) -> bool:
    """Tell whether two people are two; whoever is not known is another."""
    return one is None or one != other


def _is_worse(one: _Head, other: _Head, *, begins: bool) -> bool:
    if one.value is None or other.value is None:
        return False
    if begins or one.kind in _RISING:
        return one.value > other.value
    return one.kind in _FALLING and one.value < other.value


def _begun(rows: QuerySet[Reading]) -> QuerySet[Any, Any]:
    """Return the ids of crowns from which later ones are counted.

    The higher it begins, the deeper they have sunk.
    """
    return (
        rows.filter(
            kind="rope_crown_height",
            visit__kind=VisitKind.AS_LEFT,
            visit__work__kind__in=(
                WorkKind.REGROOVING,
                WorkKind.SHEAVE_REPLACEMENT,
                WorkKind.RIM_RENEWAL,
            ),
        )
        .order_by()
        .values_list("pk", flat=True)
    )


def _confirmed(scope: Scope, by_whom: Mapping[int, int | None]) -> Collection[int]:
    """Return the readings that somebody else than who sent them has confirmed."""
    if not by_whom:
        return set()
    words = ReadingReview.objects.within(scope).filter(
        reading__in=list(by_whom), accepted=True
    )
    return {
        pk
        for pk, membership in words.order_by().values_list(
            "reading_id", "membership_id"
        )
        if _is_another(by_whom[pk], membership)
    }


def _members(
    model: type[Upload] | type[Visit], scope: Scope, ids: set[int | None]
) -> dict[int | None, int | None]:
    rows = model.objects.within(scope).filter(pk__in=[i for i in ids if i is not None])
    return dict(rows.order_by().values_list("pk", "membership_id"))
