"""Ids as spans, so that a message can name ten thousand of them in a few numbers."""

from collections.abc import Iterable

# First and last of each; lists, since a message carries them as JSON.
Spans = list[list[int]]


def spans_of(ids: Iterable[int]) -> Spans:
    """Return the ids as spans, in order and each once."""
    found: Spans = []
    for each in sorted(set(ids)):
        if found and found[-1][1] == each - 1:
            found[-1][1] = each
        else:
            found.append([each, each])
    return found


def first_of(spans: Spans, *, count: int) -> tuple[list[int], Spans]:
    """Return the first ids of spans, at most `count` of them, and what is left."""
    ids: list[int] = []
    for number, (first, last) in enumerate(spans):
        end = min(last, first + count - len(ids) - 1)
        ids += range(first, end + 1)
        if len(ids) == count:
            rest = [[end + 1, last]] if end < last else []
            return ids, rest + spans[number + 1 :]
    return ids, []
