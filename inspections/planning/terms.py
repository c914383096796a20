"""Rates, lead times, thresholds and checks as the contractor says them: added to only.

Every change is a new row that names the one it replaces, its author and the reason;
options are worked out anew with it, and machines are judged anew by other checks.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import jobs
from inspections import inputs, options, queries
from inspections.engineering.validity import OutsideValidity
from inspections.inputs.least_set import Looser
from inspections.intake.accepting import ASSESS
from inspections.models import Terms, TermsSubject
from inspections.planning.problems import TermsRefused

_READ = {
    TermsSubject.RATES: inputs.terms.rates_of,
    TermsSubject.LEAD_TIMES: inputs.terms.lead_times_of,
    TermsSubject.THRESHOLDS: inputs.terms.thresholds_of,
    TermsSubject.CHECKS: inputs.terms.checks_of,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """The new row, and the jobs that work out the options anew."""

    row: Terms
    job_ids: tuple[int, ...]


def standing(*, scope: Scope, subject: str) -> Terms | None:
    """Return the row that counts on a subject, None where nothing was ever said."""
    rows = queries.standing_terms(scope=scope)
    return next((row for row in rows if row.subject == subject), None)


@transaction.atomic
def change(
    *,
    scope: Scope,
    subject: str,
    changes: Mapping[str, Any],
    currency: str | None,
    why: str,
    now: datetime,
) -> Written:
    """Store what is said now; a name that is given as None is not known any more.

    Names that are not given stay as they are. Raises TermsRefused, and IntegrityError
    for two changes of one state at once.
    """
    last = standing(scope=scope, subject=subject)
    said = {**(last.said if last else {}), **changes}
    row = Terms(
        contractor_id=scope.contractor_id,
        subject=subject,
        said={name: value for name, value in said.items() if value is not None},
        currency=(last.currency if last else "") if currency is None else currency,
        replaces=last,
        membership_id=scope.membership_id or 0,
        why=why,
    )
    _check(row)
    row.save(force_insert=True)
    row.refresh_from_db()
    again = _judged_anew if subject == TermsSubject.CHECKS else options.order_all
    return Written(row=row, job_ids=tuple(again(scope=scope, now=now)))


def _judged_anew(*, scope: Scope, now: datetime) -> list[int]:
    """Queue the jobs that judge all machines in service by the checks asked for."""
    machines = queries.active_machines(scope=scope)
    return jobs.write(
        kind=ASSESS,
        contractor_id=scope.contractor_id,
        subject_ids=list(machines.values_list("pk", flat=True)),
        due_at=now,
    )


def _check(row: Terms) -> None:
    """Raise TermsRefused where the row says what cannot be."""
    if row.subject == TermsSubject.RATES and not row.currency:
        raise TermsRefused(
            "rates need a currency, such as EUR: an amount without one is not known",
            pointer="/currency",
        )
    try:
        _READ[TermsSubject(row.subject)](row)
    except OutsideValidity as error:
        raise TermsRefused(str(error), pointer=f"/{error.name}") from error
    except Looser as error:
        name = error.name.replace("~", "~0").replace("/", "~1")
        raise TermsRefused(str(error), pointer=f"/values/{name}") from error
