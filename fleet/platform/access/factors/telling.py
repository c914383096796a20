"""What a person is mailed of their second factors: each change, by whomever it was."""

from datetime import datetime
from enum import StrEnum

from fleet.platform.models import Membership, Person
from fleet.platform.queue import jobs, tasks


class FactorNews(StrEnum):
    """What happened; values are the kinds of the jobs that mail it."""

    ADDED = "fleet.tasks.tell_of_factor_added"
    REMOVED = "fleet.tasks.tell_of_factor_removed"
    RESET = "fleet.tasks.tell_of_factor_reset"
    CODES_MADE = "fleet.tasks.tell_of_codes_made"
    CODE_USED = "fleet.tasks.tell_of_code_used"


def write(*, person: Person, news: FactorNews, at: datetime) -> None:
    """Queue the mail of it, in the transaction of the change.

    A server's keeper without a contractor is mailed nothing: the event stands in the
    security log.
    """
    rows = Membership.objects.usable().filter(person_id=person.pk).order_by("pk")
    for membership in rows:
        ids = jobs.write(
            kind=news,
            contractor_id=membership.contractor_id,
            subject_ids=[membership.pk],
            due_at=at,
        )
        tasks.wake_after_commit(job_ids=ids, kind=news)
