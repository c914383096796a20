"""The mail with the link to set a password."""

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from fleet.platform.models import Job, Membership
from fleet.register.people import links, mailing


def send(job: Job) -> None:
    """Send the link of the job's membership, unless it has ended meanwhile.

    The link is made here and nowhere kept. A mail server that does not answer is
    raised as OSError, and the job is tried again.
    """
    membership = (
        Membership.objects.select_related("person", "contractor")
        .filter(pk=job.subject_id or 0, contractor_id=job.contractor_id)
        .filter(deactivated_at=None, contractor__retired_on=None)
        .first()
    )
    if membership is None:
        return
    words = {
        "contractor": mailing.one_line(membership.contractor.name),
        "username": membership.person.username,
        "link": links.address(membership=membership),
        "days": settings.PASSWORD_RESET_TIMEOUT // 86_400,
        "is_new": not membership.is_usable(),
    }
    with translation.override(membership.contractor.language):
        mailing.send(
            subject=_("%(contractor)s: set your password") % words,
            template="people/link.txt",
            words=words,
            to=[membership.person.email],
        )
