"""Note that a tick was performed, for those who watch the clockwork."""

from datetime import datetime

from fleet.platform.models import Tick

SWEEP = "sweep"
NIGHTLY = "nightly"


def note(*, name: str, at: datetime) -> None:
    """Remember the time of a tick; only the last one of each name is kept."""
    Tick.objects.bulk_create(
        [Tick(name=name, last_at=at)],
        update_conflicts=True,
        unique_fields=["name"],
        update_fields=["last_at"],
    )
