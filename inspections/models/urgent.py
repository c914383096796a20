"""Mails about what asks for action at once: one row for each person told."""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q

from fleet.platform.models.outgoing import OutgoingMail
from fleet.platform.models.tenant import sparse_key
from fleet.platform.visibility import OFFICE, Visibility, only
from inspections.models.finding import Assessment
from inspections.models.stop import StopEvent
from inspections.models.visit import Upload
from inspections.models.visit_move import VisitMove

_CAUSES = ("upload", "assessment", "stop_event", "visit_move")
_ONE_CAUSE = Q()
for _cause in _CAUSES:
    _ONE_CAUSE |= Q(**{f"{name}__isnull": name != _cause for name in _CAUSES})


class UrgentMail(OutgoingMail):
    """What an upload or an assessment asks for, on its way to one of the office.

    Written in the transaction of its cause. Its words are made of the upload's
    readings or of the assessment's findings, which never change.
    """

    owner_lookup = ""
    visibility = Visibility(
        only=only(OFFICE, "message_id", "further", "stop_event", "visit_move")
    )

    upload = sparse_key(Upload, related_name="urgent_mails")
    assessment = sparse_key(Assessment, related_name="urgent_mails")
    further = ArrayField(
        models.BigIntegerField(),
        null=True,
        blank=True,
        help_text="Further assessments that the mail is about: corrected rules tell of "
        "all machines at once.",
    )
    stop_event = sparse_key(StopEvent, related_name="urgent_mails")
    visit_move = sparse_key(VisitMove, related_name="urgent_mails")
    membership_id = models.BigIntegerField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["upload", "address"], name="urgent_mail_once_per_address"
            ),
            models.UniqueConstraint(
                fields=["assessment", "address"], name="urgent_mail_once_an_assessment"
            ),
            models.UniqueConstraint(
                fields=["stop_event", "address"], name="urgent_mail_once_a_stop_event"
            ),
            models.UniqueConstraint(
                fields=["visit_move", "address"], name="urgent_mail_once_a_move"
            ),
            models.CheckConstraint(condition=_ONE_CAUSE, name="urgent_mail_one_cause"),
            models.UniqueConstraint(
                fields=["contractor", "message_id"], name="urgent_mail_message_id_once"
            ),
            models.CheckConstraint(
                condition=Q(state="SENT", sent_at__isnull=False)
                | ~Q(state="SENT") & Q(sent_at__isnull=True),
                name="urgent_mail_sent_has_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"urgent mail {self.pk}: {self.state}"
