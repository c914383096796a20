"""The mail that tells the office of a key that was in two hands."""

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from fleet.platform import naming
from fleet.platform.choices import Role
from fleet.platform.models import Job, Membership, Token
from fleet.register.people import mailing


def tell_of_reuse(job: Job) -> None:
    """Mail everyone in the office, as one mail, which key came again and whose it was.

    A mail server that does not answer is raised as OSError, and the job is tried again.
    """
    token = (
        Token.objects.select_related("membership__person", "membership__contractor")
        .filter(pk=job.subject_id or 0, membership__contractor_id=job.contractor_id)
        .first()
    )
    office = Membership.objects.usable().filter(
        contractor_id=job.contractor_id, role=Role.OFFICE
    )
    rows = office.exclude(person__email="").order_by("pk")
    addresses = list(rows.values_list("person__email", flat=True))
    if token is None or not addresses:
        return
    membership = token.membership
    person = membership.person
    words = {
        "contractor": mailing.one_line(membership.contractor.name),
        "person": mailing.one_line(naming.called(person)),
        "device": mailing.one_line(token.device),
        "prefix": token.prefix,
        "ended_at": token.revoked_at,
        "pages": settings.PUBLIC_URL,
    }
    with translation.override(membership.contractor.language):
        mailing.send(
            subject=_("%(contractor)s: a key of %(person)s was used twice") % words,
            template="people/key_reused.txt",
            words=words,
            to=addresses,
        )
