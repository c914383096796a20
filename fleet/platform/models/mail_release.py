"""For which database mails may go out: one row, written by whoever releases them."""

from django.db import models


class MailRelease(models.Model):
    """The database whose mails are sent; a restored one is another, and waits.

    Outside row-level security: it is of the whole service, not of a contractor.
    """

    name = models.CharField(max_length=10, primary_key=True, default="mails")
    database = models.CharField(
        max_length=100, help_text="What this database is told by; empty holds mails."
    )
    changed_at = models.DateTimeField()
    changed_by = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return f"mails of {self.database or 'none'}"
