"""Long files of gauges and readings, brought in by a worker."""

from collections.abc import Callable
from datetime import datetime

from django.conf import settings

from fleet.platform.database.tenancy import Scope
from fleet.register.exchange import import_jobs
from fleet.register.exchange.import_jobs import BroughtIn, Given
from inspections import cautions
from inspections.exchange import importing
from inspections.exchange.gauges import GAUGES
from inspections.intake.accepting import ASSESS


def bring_in_gauges(
    *, scope: Scope, given: Given, now: datetime, tell: Callable[[int, int], None]
) -> BroughtIn:
    """Bring a file of gauges in. Must be called in a transaction."""
    return import_jobs.bring_in_register(
        scope=scope, given=given, now=now, tell=tell, resource=GAUGES
    )


def bring_in_readings(
    *, scope: Scope, given: Given, now: datetime, tell: Callable[[int, int], None]
) -> BroughtIn:
    """Bring a file of readings in. Must be called in a transaction."""
    outcome = importing.bring_in(
        scope=scope,
        content=given.content,
        dialect=given.dialect,
        dry_run=given.dry_run,
        received_at=now,
        most_at_once=settings.UPLOAD_MAX_READINGS,
        tell=tell,
    )
    return import_jobs.answered(
        answer={**outcome.as_json(), "cautions": list(cautions.SHORT)},
        is_refused=bool(outcome.errors) and not given.dry_run,
        job_kind=ASSESS,
        job_ids=outcome.job_ids,
    )
