"""Healthy machines: how many are decided, by how complete their registers are."""

from collections import Counter
from random import Random
from typing import Any

from tests.histories import estate, lives, machines
from tests.histories.state import BEYOND, STATES, Standing

# A set whose table of broken wires is to be entered by whoever owns a copy.
_NOT_ENTERED = ("ASME_A17_6",)
# What is left out of a complete register, by the name of its completeness.
COMPLETENESS: dict[str, tuple[tuple[str, str], ...]] = {
    "complete": (),
    "no mouth angle": (("geometry", "groove_angle_deg"),),
    "no mouth angle, no undercut": (
        ("geometry", "groove_angle_deg"),
        ("geometry", "undercut_angle_deg"),
    ),
    "no braking": (("machine", "braking_deceleration_m_s2"),),
    "no balance": (("machine", "balance_ratio"),),
    "no modulus": (("rope_set", "modulus_mpa"),),
}
TOGETHER = 40
VISITS = 2


def shares(*, seed: int, count: int) -> dict[str, Any]:
    """Return the shares of healthy machines within, open and beyond."""
    by_sort: dict[str, Counter[str]] = {}
    answers: dict[str, Counter[str]] = {}
    asked: Counter[str] = Counter()
    stopped = 0
    names = tuple(COMPLETENESS)
    for start in range(0, count, TOGETHER):
        random = Random(f"healthy {seed} {start}")
        some = []
        for n in range(min(TOGETHER, count - start)):
            # Half of them are complete.
            name = names[0] if n % 2 == 0 else names[1 + n // 2 % (len(names) - 1)]
            some.append(_begun(random, f"w{start + n}", name))
        with estate.undone():
            lived = estate.Estate(
                code=f"healthy-{start}", some=[life for _, life in some]
            )
            for _ in range(VISITS):
                lived.advance(random)
            for name, life in some:
                standing = lived.standing[life.code]
                if life.sort.criteria_set in _NOT_ENTERED:
                    name += ", limits not entered"
                by_sort.setdefault(name, Counter())[_graded(standing)] += 1
                answers.setdefault(name, Counter())[_answer(standing)] += 1
                stopped += bool(standing.stops)
                if name == "complete":
                    asked.update(standing.undecided)
    return {
        "decided_share": _share(by_sort.get("complete", Counter()), "within"),
        "healthy_stopped": stopped,
        "shares": _shares(by_sort),
        "shares_by_criterion": _shares(answers),
        "undecided": dict(asked.most_common()),
    }


def _begun(random: Random, code: str, name: str) -> tuple[str, lives.Life]:
    life = lives.begin(random, code, ill=False)
    for part, value in COMPLETENESS[name]:
        own = machines.without(life.entries[code], part, value)
        life.entries[code] = own
    return name, life


def _shares(by_sort: dict[str, Counter[str]]) -> dict[str, dict[str, float]]:
    return {
        name: {said: _share(found, said) for said in ("within", "open", "beyond")}
        for name, found in by_sort.items()
    }


def _graded(standing: Standing) -> str:
    """Return what the machine's own state decides, which weighs chances."""
    state = STATES[standing.state]
    if state in ("in order", "monitor"):
        return "within"
    return "open" if state == "not known" else "beyond"


def _answer(standing: Standing) -> str:
    if BEYOND in standing.verdicts.values():
        return "beyond"
    return "open" if standing.undecided else "within"


def _share(found: Counter[str], said: str) -> float:
    return round(found[said] / max(found.total(), 1), 3)
