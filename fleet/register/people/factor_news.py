"""The mail that tells someone of a change of their second factors."""

from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from fleet.platform.access.factors.telling import FactorNews
from fleet.platform.models import Job, Membership
from fleet.register.people import mailing

_SAID = {
    FactorNews.ADDED: gettext_noop(
        "A second factor was added: one-time codes or a passkey."
    ),
    FactorNews.REMOVED: gettext_noop("A second factor was removed."),
    FactorNews.RESET: gettext_noop(
        "All your second factors were taken away by your office or by the server's "
        "administrator, and your sessions were ended. The next log-in asks for your "
        "password, and then to set up a new one where your office wants one."
    ),
    FactorNews.CODES_MADE: gettext_noop(
        "New recovery codes were made. The earlier ones are void."
    ),
    FactorNews.CODE_USED: gettext_noop(
        "A recovery code was used to log in or to confirm who you are. It is void now."
    ),
}


def tell_of_factor(job: Job) -> None:
    """Mail the job's person what happened to their second factors, in no detail.

    A mail server that does not answer is raised as OSError, and the job is tried again.
    """
    membership = (
        Membership.objects.select_related("person", "contractor")
        .filter(pk=job.subject_id or 0, contractor_id=job.contractor_id)
        # Whoever has left meanwhile hears nothing more of a contractor.
        .filter(deactivated_at=None)
        .exclude(person__email="")
        .first()
    )
    if membership is None:
        return
    contractor = membership.contractor
    with translation.override(contractor.language):
        mailing.send(
            subject=_("%(contractor)s: your second factor")
            % {"contractor": mailing.one_line(contractor.name)},
            template="people/factor_news.txt",
            words={
                "said": _(_SAID[FactorNews(job.kind)]),
                "username": membership.person.username,
                "at": job.created_at,
            },
            to=[membership.person.email],
        )
