"""Where the grooves of deflectors, pulleys and the secondary sheave are to be read."""

from typing import Any

from inspections.kinds.places import PLACE_VALUES
from inspections.models import Reading
from inspections.worklist.facts import WorklistFacts

_MOST = {key: len(PLACE_VALUES[key]) for key in ("pulley", "pulley_groove")}


def places(facts: WorklistFacts) -> list[dict[str, Any]]:
    """Return every groove in which a rope runs, of each pulley of the register."""
    ropes = facts.snapshot.rope_set
    grooves = min(ropes.ropes_count if ropes else 0, _MOST["pulley_groove"])
    return [
        {"pulley": str(pulley.number), "pulley_groove": str(groove)}
        for pulley in facts.snapshot.pulleys
        if pulley.number <= _MOST["pulley"]
        for groove in range(1, grooves + 1)
    ]


def is_of_fitted(facts: WorklistFacts, reading: Reading) -> bool:
    """Return whether a reading was taken on a pulley that is fitted now."""
    return any(
        reading.place.get("pulley") == str(pulley.number)
        and facts.day_of(reading.taken_at) >= pulley.fitted_on
        for pulley in facts.snapshot.pulleys
    )
