"""The least set of checks with its greatest ages, and how a contractor shortens them.

Common practice, no source, except: the traction test every five years is A17's (from
memory); six months for what carries persons is the United Kingdom's, Lifting Operations
and Lifting Equipment Regulations 1998, regulation 9 (from memory).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from inspections.engineering import criteria
from inspections.kinds import Group, of_group

PARTS = ("crack", "rim bolts", "hub", "bearing", "keeper", "fastening", "brake")
_SHORT = 6
_AT_LEAST = 1
# What is looked at beside the set where a contractor asks for it, and the readings
# that answer it.
_MORE_PARTS = ("spokes", "keyway", "guards", "alignment")
_LONGEST = 120
# The clocks of the United Kingdom; nothing else in the register tells a country.
_UNITED_KINGDOM = frozenset({"Europe/London", "Europe/Belfast", "GB", "GB-Eire"})


class Every(StrEnum):
    """Where a check is made: once a machine, or at each rope or groove."""

    MACHINE = "MACHINE"
    ROPE = "ROPE"
    GROOVE = "GROOVE"
    PART = "PART"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check of the set, with the greatest age of its reading [months].

    `kinds` are readings any of which answers it. A check without an age is made only
    where a contractor asks for it; `short_months` holds in the United Kingdom.
    """

    code: str
    kinds: tuple[str, ...]
    every: Every
    months: int | None
    part: str = ""
    short_months: int | None = None

    @property
    def is_test(self) -> bool:
        """Whether a look in passing is none: it is made at a visit of its own."""
        return self.code.startswith("traction_test")

    def place_of(self, *, number: int | None, part: str) -> str:
        """Return what one of its places is called."""
        if self.every is Every.PART:
            return part
        if self.every is Every.MACHINE or number is None:
            return ""
        return f"{self.every.lower()} {number}"


def _part(part: str, months: int | None) -> Check:
    return Check(
        code=part.replace(" ", "_"),
        kinds=("check",),
        every=Every.PART,
        months=months,
        part=part,
        short_months=_SHORT if months else None,
    )


def _of(every: Every, code: str, months: int | None, *kinds: str) -> Check:
    short = _SHORT if code == "counterweight_runby" else None
    return Check(
        code=code,
        kinds=kinds or (code,),
        every=every,
        months=months,
        short_months=short,
    )


_SEAT = of_group(Group.SEAT_DEPTH)
_TENSIONS = (*of_group(Group.TENSION), "spring_length")
CHECKS: Mapping[str, Check] = {
    each.code: each
    for each in (
        _of(Every.ROPE, "rope_diameter", 12),
        _of(Every.ROPE, "broken_wires", 12, "breaks_total"),
        _of(Every.ROPE, "broken_wires_watched", 6, "breaks_total"),
        _of(Every.ROPE, "rouge", 12),
        _of(Every.ROPE, "rouge_watched", 6, "rouge"),
        _of(Every.ROPE, "rope_tension", 12, *_TENSIONS),
        _of(Every.GROOVE, "seat_depth", 12, *_SEAT),
        _of(Every.MACHINE, "slip", 12, "slip_seen", "rope_mark_offset"),
        _of(Every.MACHINE, "counterweight_runby", 12, "cwt_runby"),
        *(_part(part, 12) for part in PARTS),
        _of(Every.MACHINE, "traction_test", 60, "slip_seen", "traction_test"),
        _of(
            Every.MACHINE,
            "traction_test_borrowed",
            12,
            "slip_seen",
            "traction_test",
        ),
        *(_part(part, None) for part in _MORE_PARTS),
        _of(Every.MACHINE, "car_runby", None),
        _of(Every.MACHINE, "brake_slide", None, "brake_slide_seen"),
        _of(Every.MACHINE, "balance", None, "balance_load"),
        _of(Every.MACHINE, "hardness", None),
        _of(Every.MACHINE, "rim_thickness", None),
        _of(Every.ROPE, "lubrication", None),
        _of(Every.ROPE, "rope_deformation", None),
        _of(Every.ROPE, "wires_worn_or_rusted", None),
    )
}
# Broken wires and rouge that are watched are never looked at less often.
_WATCHED = {
    "broken_wires": "broken_wires_watched",
    "rouge": "rouge_watched",
    "traction_test": "traction_test_borrowed",
}


class Looser(ValueError):
    """A contractor's age that is no stricter than the set, or of no check of it."""

    def __init__(self, name: str, detail: str) -> None:
        super().__init__(detail)
        self.name = name


@dataclass(frozen=True, slots=True, kw_only=True)
class Ages:
    """The greatest ages that hold for one machine: check -> months."""

    months: Mapping[str, int]

    def of(self, code: str) -> int | None:
        """Return a check's greatest age, None where it is not asked for."""
        return self.months.get(code)

    @property
    def more(self) -> tuple[Check, ...]:
        """The checks that are asked for beside the set."""
        return tuple(
            check
            for check in CHECKS.values()
            if check.months is None and check.code in self.months
        )

    @property
    def changed(self) -> dict[str, int]:
        """What differs from the set, for whoever compares what was judged by."""
        return {k: v for k, v in self.months.items() if v != CHECKS[k].months}


def ages(*, said: Mapping[str, int], criteria_set: str, time_zone: str) -> Ages:
    """Return the ages of a machine: the set's, the country's, the contractor's.

    The strictest of what applies counts, so that nothing makes it looser.

    >>> ages(said={"brake": 3}, criteria_set="EN_81_20", time_zone="UTC").of("brake")
    3
    """
    short = time_zone in _UNITED_KINGDOM
    found: dict[str, int] = {}
    for code, check in CHECKS.items():
        own = (
            check.months,
            check.short_months if short else None,
            said.get(code),
            said.get(f"{criteria_set}/{code}"),
        )
        known = [months for months in own if months is not None]
        if known:
            found[code] = min(known)
    for often, watched in _WATCHED.items():
        found[watched] = min(found[watched], found[often])
    return Ages(months=found)


NO_TERMS = ages(said={}, criteria_set="", time_zone="")


def check_stricter(said: Mapping[str, object]) -> None:
    """Raise Looser for the first age that a contractor may not say."""
    for name, months in said.items():
        before, _, code = name.rpartition("/")
        if before and before not in _criteria_sets():
            raise Looser(name, f"{before[:60]} is no criteria set")
        check = CHECKS.get(code)
        if check is None:
            raise Looser(
                name, f"{code[:60]!r} is no check; use one of {', '.join(CHECKS)}"
            )
        if isinstance(months, bool) or not isinstance(months, int):
            raise Looser(name, f"{code} takes whole months, not {months!r:.40}")
        most = check.months if check.months is not None else _LONGEST
        if months > most:
            raise Looser(
                name,
                f"{months} months for {code} are looser than the least set, which asks "
                f"for it every {most}; only stricter is taken"
                if check.months is not None
                else f"{months} months for {code}; at most {most} are taken",
            )
        if months < _AT_LEAST:
            raise Looser(
                name, f"{months} months for {code}; it is at least {_AT_LEAST}"
            )


@cache
def _criteria_sets() -> frozenset[str]:
    return frozenset(each.code for each in criteria.ALL)
