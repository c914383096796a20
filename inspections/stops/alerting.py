"""Many new stops without new readings: the rules changed, and the operator is told."""

import logging
from datetime import datetime, timedelta

from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.models import Cause, StopEvent, StopEventKind

logger = logging.getLogger(__name__)

# New stops on more than this share of the machines; our rule, no source.
MANY_SHARE = 0.02
_LATELY = timedelta(days=1)


def look(*, scope: Scope, now: datetime) -> int:
    """Return on how many machines the rules alone raised stops within a day.

    More than a few are written to the log as an error; they show all the same.
    """
    stopped, machines = counted(scope=scope, now=now)
    if stopped > MANY_SHARE * machines:
        logger.error(
            "contractor %s: changed rules alone stopped %s of %s machines within a day",
            scope.contractor_id,
            stopped,
            machines,
        )
    return stopped


def counted(*, scope: Scope, now: datetime) -> tuple[int, int]:
    """Return how many machines the rules alone stopped within a day, of how many."""
    events = StopEvent.objects.within(scope).filter(
        kind=StopEventKind.RAISED,
        at__gt=now - _LATELY,
        finding__assessment__cause=Cause.RULES,
    )
    stopped = events.values("stop__machine").distinct().count()
    return stopped, queries.active_machines(scope=scope).count()
