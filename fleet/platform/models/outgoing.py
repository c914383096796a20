"""What every mail that is a row has in common, whatever it says and to whom."""

from django.db import models

from fleet.platform.models.tenant import TenantRow


class OutgoingState(models.TextChoices):
    QUEUED = "QUEUED", "waiting to be sent"
    # Committed before the server is called; a sender that dies is seen by it.
    SENDING = "SENDING", "being sent"
    SENT = "SENT", "taken by the mail server"
    REFUSED = "REFUSED", "address refused"
    FAILED = "FAILED", "not delivered"


class OutgoingMail(TenantRow):
    """One mail on its way to one address; a table of its own for each kind.

    The Message-ID is made once: a mail that may have been taken although the
    server's answer was lost is sent again under it, so that it can be told as the
    same one.
    """

    address = models.EmailField()
    message_id = models.CharField(max_length=200)
    state = models.CharField(
        max_length=10, choices=OutgoingState.choices, default=OutgoingState.QUEUED
    )
    attempts = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField()
    last_answer = models.CharField(
        max_length=300, blank=True, help_text="What the mail server said last."
    )
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True
