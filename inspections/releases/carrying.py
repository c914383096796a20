"""Which readings of a visit go along when it is moved, and with whose word.

What stands goes along, and what is held or lies in the future: it is judged there. What
somebody has set aside stays behind, but for what had stopped the wrong machine: that it
was not true of that one says nothing of the machine where it was read.
"""

from collections.abc import Mapping, Sequence

from fleet.platform.database.tenancy import Scope
from inspections import corrections
from inspections.models import (
    Reading,
    ReadingReview,
    ReadingState,
    Release,
    Stop,
    Visit,
)
from inspections.stops import causes
from inspections.urgent import acting


def those_of(
    *, scope: Scope, visit: Visit, origins: Sequence[Reading]
) -> Sequence[Reading]:
    """Return those of a visit's readings that are copied, in their order."""
    words = _words(scope, origins)
    aside = {pk: word for pk, word in words.items() if not word.accepted}
    held = {
        row.pk
        for row in origins
        if row.state == ReadingState.HELD and row.pk not in words
    }
    standing = {row.pk for row in origins} - set(aside)
    # What is held takes nothing out.
    corrected = set(corrections.own(scope=scope, ids=standing - held).values())
    stopping = _stopping(scope, visit, origins, standing - held - corrected, aside)
    wanted = (standing | stopping) - corrected
    return [row for row in origins if row.pk in wanted]


def bring_words(*, scope: Scope, pairs: Sequence[Sequence[int]]) -> None:
    """Let whoever confirmed an origin have confirmed its copy too.

    Only of what acts: what was held as too good is asked about anew.
    """
    copies = {pair[0]: pair[1] for pair in pairs}
    rows = Reading.objects.within(scope).filter(pk__in=copies)
    words = _words(scope, list(rows))
    acting_so = set(
        Reading.objects.within(scope)
        .filter(pk__in=copies.values())
        .exclude(state=ReadingState.HELD)
        .values_list("pk", flat=True)
    )
    ReadingReview.objects.bulk_create(
        ReadingReview(
            contractor_id=scope.contractor_id,
            reading_id=copies[origin],
            accepted=True,
            membership_id=word.membership_id,
            why=word.why,
        )
        for origin, word in words.items()
        if word.accepted and copies[origin] in acting_so
    )


def _words(scope: Scope, readings: Sequence[Reading]) -> Mapping[int, ReadingReview]:
    """Return the last word on each reading that somebody has spoken of."""
    rows = ReadingReview.objects.within(scope).filter(reading__in=readings)
    return {row.reading_id: row for row in rows.order_by("pk")}


def _stopping(
    scope: Scope,
    visit: Visit,
    origins: Sequence[Reading],
    standing: set[int],
    aside: Mapping[int, ReadingReview],
) -> set[int]:
    """Return what was set aside and had stopped the wrong machine.

    By itself; or together, where nothing of it stands any more: set aside by the
    refutation of that stop, or at a stop that rests on this visit alone.
    """
    found = {
        row.pk for row in origins if row.pk in aside and acting.is_stopping_row(row)
    }
    ids = {row.pk for row in origins}
    rows = Stop.objects.within(scope).filter(
        machine=visit.machine_id, readings__overlap=sorted(ids)
    )
    for stop in rows.exclude(release=Release.CORRECTED):
        kinds = causes.RULES[stop.cause].reads
        own = {
            row.pk
            for row in origins
            if row.pk in stop.readings and (not kinds or row.kind in kinds)
        }
        if own & standing:
            continue
        is_alone = stop.is_open and set(stop.readings) <= ids
        found |= {
            pk for pk in own & set(aside) if is_alone or _was_refuted(stop, aside[pk])
        }
    return found


def _was_refuted(stop: Stop, word: ReadingReview) -> bool:
    return stop.release == Release.REFUTED and word.why == stop.release_why[:500]
