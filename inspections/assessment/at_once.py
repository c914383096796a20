"""What readings stop by their machine's own criteria, as soon as they have come in."""

import logging
from collections.abc import Collection, Mapping
from datetime import datetime

from django.db import transaction

from fleet.platform.database.tenancy import Scope
from inspections import versions
from inspections.assessment import assessing, storing

# A technician's visits; what comes in bulk is judged by the workers alone.
MACHINES_AT_MOST = 3

logger = logging.getLogger(__name__)


def stopping(
    *, scope: Scope, machine_ids: Collection[int], as_of: datetime
) -> Mapping[int, str]:
    """Return the readings that take their machines out of service, and why.

    Nothing is stored: the workers judge the machines again, raise the stops and tell
    the office. A fault here must not cost the readings, so it is logged, and nothing
    is said.
    """
    if not machine_ids or len(machine_ids) > MACHINES_AT_MOST:
        return {}
    ids = sorted(machine_ids)
    try:
        with transaction.atomic():
            last = storing.last_assessments(scope=scope, machine_ids=ids, lock=False)
            judged = assessing.anew(
                scope=scope, machine_ids=ids, last=last, as_of=as_of
            )
    except versions.NewerRules:
        return {}
    except Exception:
        logger.exception("an upload's machines were not judged at once")
        return {}
    return {
        pk: str(draft.reason or draft.topic)
        for each in judged
        for draft in each.drafts
        if draft.stops_service
        for pk in draft.readings
    }
