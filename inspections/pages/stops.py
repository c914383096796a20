"""What is said beside a stop: who was told and when, and who has heard of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from fleet.register import people
from inspections import queries
from inspections.models import Stop


@dataclass(frozen=True, slots=True, kw_only=True)
class StopTold:
    """Who was written to of a stop, each with the last time; and who has heard."""

    told: Sequence[tuple[str, datetime]]
    heard_by: str


def tellings(*, scope: Scope, stops: Sequence[Stop]) -> Mapping[int, StopTold]:
    """Return what is known of the telling of each stop, in two queries."""
    told: dict[int, dict[int, datetime]] = {}
    for event in queries.told_of(scope=scope, stop_ids=[stop.pk for stop in stops]):
        told.setdefault(event.stop_id, {}).update(dict.fromkeys(event.told, event.at))
    heard = {stop.acknowledged_by for stop in stops if stop.acknowledged_by}
    names = people.names_of(scope=scope, ids=heard.union(*told.values()))
    return {
        stop.pk: StopTold(
            told=[(names.get(pk, "–"), at) for pk, at in told.get(stop.pk, {}).items()],
            heard_by=names.get(stop.acknowledged_by or 0, ""),
        )
        for stop in stops
    }
