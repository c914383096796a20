"""The mail that tells the office of a key that was in two hands."""

from django.conf import settings
from django.core.mail import EmailMessage
from django.template.loader import render_to_string

from fleet.platform.choices import Role
from fleet.platform.models import Job, Membership, Token
from fleet.register.people.letter import one_line


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
        "contractor": one_line(membership.contractor.name),
        "person": one_line(person.get_full_name() or person.username),
        "device": one_line(token.device),
        "prefix": token.prefix,
        "ended_at": token.revoked_at,
        "pages": settings.PUBLIC_URL,
    }
    EmailMessage(
        subject=f"{words['contractor']}: a key of {words['person']} was used twice",
        body=render_to_string("people/key_reused.txt", words),
        to=addresses,
        # RFC 3834: no machine shall answer this.
        headers={"Auto-Submitted": "auto-generated"},
    ).send()
