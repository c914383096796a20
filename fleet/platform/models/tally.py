"""Counts of what was tried within a span of time, for limits."""

from django.db import models


class Tally(models.Model):
    """How often something was done since a span began; over when it ends.

    Outside row-level security: it is counted before anyone is known. The table is
    unlogged: counting costs no write-ahead log, and a crash starts all counts anew.
    """

    name = models.CharField(max_length=150, primary_key=True)
    ends_at = models.DateTimeField(db_index=True)
    hits = models.PositiveIntegerField()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return f"{self.name}: {self.hits}"
