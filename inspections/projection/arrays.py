"""Names for the array types of this package and sums over ragged segments."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]
Integers = NDArray[np.integer[Any]]
Flags = NDArray[np.bool_]


def segment_sum(values: Floats, starts: Integers) -> Floats:
    """Return the sum of each segment in the precision of ``values``.

    values : (N,) in any unit; NaN would spread over its own segment
    starts : (S,) index of the first value of each segment; no segment is empty
    """
    total: Floats = np.add.reduceat(values, starts)
    return total


def group_sum(values: Floats, group: Integers, count: int) -> Floats:
    """Return the sum of ``values`` in each of ``count`` groups; an empty group is 0."""
    total = np.bincount(group, weights=values, minlength=count)
    return total.astype(values.dtype, copy=False)


def group_count(group: Integers, count: int) -> Integers:
    """Return how many members each of ``count`` groups has."""
    return np.bincount(group, minlength=count)


def safe_ratio(numerator: Floats, denominator: Floats) -> Floats:
    """Return numerator / denominator, and 0 where the denominator is 0.

    >>> safe_ratio(np.array([1.0, 5.0]), np.array([2.0, 0.0]))
    array([0.5, 0. ])
    """
    positive = denominator != 0
    divided: Floats = np.divide(
        numerator,
        denominator,
        out=np.zeros(np.shape(denominator), np.result_type(numerator, 1.0)),
        where=positive,
    )
    return divided


def concatenated_bounds(counts: Integers) -> Integers:
    """Return segment bounds (S + 1,) for segments of the given lengths.

    >>> concatenated_bounds(np.array([2, 0, 3]))
    array([0, 2, 2, 5])
    """
    return np.concatenate(([0], np.cumsum(counts))).astype(np.intp)


def segment_positions(starts: Integers, counts: Integers) -> Integers:
    """Return the indices of all members of the chosen segments, in order.

    >>> segment_positions(np.array([4, 0]), np.array([2, 3]))
    array([4, 5, 0, 1, 2])
    """
    bounds = concatenated_bounds(counts)
    offset = np.repeat(np.asarray(starts) - bounds[:-1], counts)
    return np.arange(bounds[-1], dtype=np.intp) + offset
