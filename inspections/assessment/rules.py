"""The rules by which machines are judged, told apart by version and by values."""

from collections.abc import Mapping
from functools import cache, lru_cache
from typing import Any

from inspections import versions
from inspections.engineering.criteria import CriteriaSet
from inspections.models import Cause

# Whose constants can change a finding.
PACKAGES = (
    "inspections.engineering",
    "inspections.kinds",
    "inspections.inputs",
    "inspections.assessment",
)
RULES = "rules"
# What an earlier version wrote instead.
_EARLIER = ("kernel",)


def at_work(*, criteria_set: CriteriaSet) -> dict[str, Any]:
    """Return what names the rules: their version, and their limits and tables."""
    return {
        "version": versions.JUDGING,
        "limits": _limits(criteria_set),
        "tables": _tables(),
    }


def cause(*, facts: Mapping[str, Any], before: Mapping[str, Any] | None) -> Cause:
    """Return why a machine is judged anew, from what its last assessment rested on."""
    if before is None:
        return Cause.FACTS
    own, old = facts[RULES], before.get(RULES, {})
    if _without_rules(facts) == _without_rules(before):
        return Cause.RULES
    # Limits may be the building's own: then its row has changed too.
    same_building = facts.get("building") == before.get("building")
    compared = ("version", "tables", "limits") if same_building else ("version",)
    is_same = all(own[name] == old.get(name) for name in compared)
    return Cause.FACTS if is_same else Cause.BOTH


def _without_rules(facts: Mapping[str, Any]) -> dict[str, Any]:
    left_out = (RULES, *_EARLIER)
    return {name: value for name, value in facts.items() if name not in left_out}


@lru_cache(maxsize=4096)
def _limits(criteria_set: CriteriaSet) -> str:
    return versions.fingerprint(criteria_set)


@cache
def _tables() -> str:
    return versions.fingerprint(tuple(versions.constants(packages=PACKAGES)))
