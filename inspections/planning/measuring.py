"""A reading that nobody can vouch for is planned to be measured again."""

from datetime import datetime, timedelta

from django.db import transaction

from fleet.platform.database.tenancy import Scope
from inspections import options
from inspections.decisions.records import OptionKind
from inspections.models import PlannedWork, Reading
from inspections.planning import choosing
from inspections.reasons import note

# Soon, for the machine is judged without it or against it meanwhile; our rule.
WITHIN = timedelta(days=14)


@transaction.atomic
def again(
    *, scope: Scope, reading: Reading, why: str, now: datetime
) -> PlannedWork | None:
    """Plan a measurement at the reading's machine; None where one is planned already.

    The reading stays as it is and goes on waiting for a word.
    """
    row = choosing.follow_up(
        scope=scope,
        machine=reading.machine,
        kind=str(OptionKind.MEASURE_FIRST),
        window=(now.date(), now.date() + WITHIN),
        after=None,
        why=note(f"{reading.kind} {reading.typed_value}: {why}"[:400]),
        now=now,
    )
    if row is not None:
        options.due.refresh(scope=scope, machine_ids=[reading.machine_id])
    return row
