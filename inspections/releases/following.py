"""What comes in later for a visit that was moved goes where the visit was made.

A phone may send half a visit, and the other half when somebody has moved it. What does
not fit there stays, and stops, where it was sent to.
"""

import logging
from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from fleet.platform.database.tenancy import Scope
from inspections.intake.accepting import CameAfter
from inspections.models import Reading, Stop, VisitMove
from inspections.releases import moving
from inspections.releases.copying import DoesNotFit
from inspections.stops import holding

logger = logging.getLogger(__name__)


def of_upload(*, scope: Scope, upload_id: int, now: datetime, most: int) -> CameAfter:
    """Bring the readings of an upload after their visits, as often as those moved."""
    rows = Reading.objects.within(scope).filter(upload=upload_id)
    late = list(
        rows.filter(
            visit__in=VisitMove.objects.within(scope).values("from_visit")
        ).values_list("pk", flat=True)
    )
    if late:
        visits = Reading.objects.within(scope).filter(pk__in=late)
        reached = holding.moved_on(
            scope=scope, visit_ids=visits.values_list("visit", flat=True)
        )
        holding.hold(scope=scope, machine_ids=reached)
    stops: list[Stop] = []
    machine_ids: set[int] = set()
    left: set[int] = set()
    while late:
        late = _one_step(scope, late, now, most, stops, machine_ids, left)
    return CameAfter(stops=tuple(stops), machine_ids=frozenset(machine_ids))


def _one_step(
    scope: Scope,
    late: Sequence[int],
    now: datetime,
    most: int,
    stops: list[Stop],
    machine_ids: set[int],
    left: set[int],
) -> list[int]:
    """Copy readings to where their visit was moved; return the copies.

    No visit is left twice, so that moves which lead back to it end.
    """
    visits = Reading.objects.within(scope).filter(pk__in=late).values("visit")
    moves = VisitMove.objects.within(scope).filter(from_visit__in=visits)
    moves = moves.exclude(from_visit__in=left)
    copies: list[int] = []
    for row in moves.select_related("from_visit__machine", "to_visit__machine"):
        left.add(row.from_visit_id)
        try:
            with transaction.atomic():
                carried = moving.carry(
                    scope=scope,
                    visit=row.from_visit,
                    machine=row.to_visit.machine,
                    origins=moving.origins_of(scope, row.from_visit, late),
                    why=row.why,
                    now=now,
                    most=most,
                    into=row.to_visit,
                )
        except DoesNotFit as refused:
            logger.error(
                "readings of visit %s, which was moved to visit %s, stay: %s",
                row.from_visit_id,
                row.to_visit_id,
                refused.detail,
            )
            continue
        copies += [copy for _, copy in carried.copied.pairs]
        stops += [each for each in carried.copied.stops if each not in stops]
        machine_ids |= {row.from_visit.machine_id, row.to_visit.machine_id}
    return copies
