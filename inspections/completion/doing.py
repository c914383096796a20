"""Who did a piece of work, by membership: that person does not accept it later."""

from fleet.models import Membership
from fleet.platform.choices import Role
from fleet.platform.database.tenancy import Scope
from inspections.completion.problems import NotTaken
from inspections.completion.report import WorkReport


def member(*, scope: Scope, report: WorkReport) -> int | None:
    """Return the membership that did the work, None where only words name somebody.

    Where nobody is named it was whoever reports it. Raises NotTaken for a membership
    that is none of this contractor's own people.
    """
    if report.done_by_member is None:
        return None if report.done_by.strip() else scope.membership_id
    people = Membership.objects.filter(contractor_id=scope.contractor_id)
    people = people.exclude(role=Role.OWNER_READER)
    if not people.filter(pk=report.done_by_member).exists():
        raise NotTaken(
            f"{report.done_by_member} is the membership of nobody here; GET "
            "/api/v1/people lists them",
            pointer="/done_by_member",
            code="unknown-member",
        )
    return report.done_by_member
