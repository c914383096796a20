"""What differs between findings of an earlier version and today's, place by place."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from tests.earlier_year.documented import Difference, reason_of

Told = dict[str, Any]
# Machine, topic and place -> the grades found there, in order.
Graded = dict[tuple[str, str, str], list[str]]


def compared(lived: Told, judged: Told) -> Told:
    """Return how many findings are the same, and each difference with its reason."""
    upgraded, anew = judged["upgraded"], judged["anew"]
    told = [(each, reason_of(each)) for each in _differences(lived, anew)]
    documented = Counter(reason for _each, reason in told if reason)
    before, after = _graded(lived), _graded(anew)
    same = sum(grades == _now(after, key) for key, grades in before.items())
    return {
        "machines": len(lived["grades"]),
        "findings": len(lived["findings"]),
        "findings_anew": len(anew["findings"]),
        "places": len(before),
        "places_of_the_same_grade": same,
        "changed_by_upgrade": _changed(lived, upgraded),
        "grades": {
            code: [grade, anew["grades"].get(code)]
            for code, grade in sorted(lived["grades"].items())
        },
        "mails": [lived["mails"], upgraded["mails"], anew["mails"]],
        "documented": dict(sorted(documented.items())),
        "unexpected": [each.text for each, reason in told if not reason],
    }


def in_words(figures: Told) -> Iterator[str]:
    """Yield the figures a line each."""
    for name, value in figures.items():
        if isinstance(value, dict):
            yield f"{name}:"
            yield from (f"    {key}: {said}" for key, said in value.items())
        elif isinstance(value, list) and value and isinstance(value[0], str):
            yield f"{name}:"
            yield from (f"    {said}" for said in value)
        else:
            yield f"{name:30} {value}"


def _changed(lived: Told, upgraded: Told) -> list[str]:
    """Return what is not as it was after the tables were brought up to date."""
    return [name for name, value in lived.items() if upgraded[name] != value]


def _differences(before: Told, after: Told) -> Iterator[Difference]:
    old, new = _graded(before), _graded(after)
    for key in sorted(old.keys() | new.keys()):
        machine, topic, place = key
        was, now = old.get(key, []), _now(new, key)
        if was != now:
            yield Difference(
                machine=machine,
                topic=topic,
                place=place,
                was=tuple(was),
                now=tuple(now),
            )
    for machine, grade in before["grades"].items():
        now_grade = after["grades"][machine]
        if grade != now_grade:
            yield Difference(machine=machine, was=(grade,), now=(now_grade,))


def _now(after: Graded, key: tuple[str, str, str]) -> list[str]:
    """Return the grades at a place; of a whole machine also those told by places."""
    machine, topic, place = key
    if key in after or place:
        return after.get(key, [])
    parts = (
        grades for (m, t, _), grades in after.items() if (m, t) == (machine, topic)
    )
    return sorted({grade for grades in parts for grade in grades})


def _graded(told: Told) -> Graded:
    found: Graded = {}
    for machine, topic, places, grade, *_ in told["findings"]:
        for place in _each(places):
            found.setdefault((machine, topic, place), []).append(grade)
    return {key: sorted(grades) for key, grades in found.items()}


def _each(places: str) -> Iterator[str]:
    """Yield the places that one finding tells together."""
    kind, space, numbers = places.partition(" ")
    for number in numbers.split(", "):
        yield f"{kind}{space}{number}"
