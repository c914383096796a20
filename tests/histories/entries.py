"""Lives and the people round them as an entry of the register."""

from collections.abc import Sequence
from typing import Any

from tests.histories import lives
from tests.histories.lives import Life

TECHNICIANS = tuple(f"tech-{n}" for n in range(lives.TECHNICIANS))
PEOPLE = ("office", *TECHNICIANS)


def portfolio(*, code: str, some: Sequence[Life]) -> dict[str, Any]:
    """Return a contractor with a building for each criteria set in use."""
    by_set: dict[str, list[dict[str, Any]]] = {}
    for life in some:
        by_set.setdefault(life.sort.criteria_set, []).extend(life.entries.values())
    return {
        "contractor": {"name": "Lifts of many lives", "code": code},
        "people": [
            {
                "username": f"{code}-{name}",
                "role": "OFFICE" if name == "office" else "TECHNICIAN",
            }
            for name in PEOPLE
        ],
        "owners": [{"name": "Owner", "code": "owner"}],
        "buildings": [
            {
                "name": name,
                "code": name.lower().replace("_", "-"),
                "owner": "owner",
                "time_zone": "Europe/Lisbon",
                "criteria_set": name,
                "machines": entries,
            }
            for name, entries in by_set.items()
        ],
    }
