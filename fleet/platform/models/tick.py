"""When the clockwork was last heard: one row for each kind of tick."""

from django.db import models


class Tick(models.Model):
    """The last time that a tick was performed, by whichever worker.

    Outside row-level security: it is nobody's. That it is recent shows that beat,
    broker, a worker and the database all do their part.
    """

    name = models.CharField(max_length=40, primary_key=True)
    last_at = models.DateTimeField()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return f"{self.name} at {self.last_at.isoformat()}"
