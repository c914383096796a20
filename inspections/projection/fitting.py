"""The fit of one chunk, twice through its readings.

Once to see which readings do not belong, once without them.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection import chunk as chunks
from inspections.projection import inference, outliers
from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.chunk import Belief, Chunk
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.inference import Inference
from inspections.projection.observations import Laid, observe
from inspections.projection.others import Others

SWEEPS = 1
"""Rounds of messages in the second pass; without a first pass one more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The inference of a chunk and what was thought of each reading.

    evidence : (N,) weight before the robust weight [1/mm²]
    All (N,) in the layout of the readings that were given.

    weight : (N,) robust weight, 1 for a reading that belongs
    flagged : (N,) True for a reading to be measured again
    """

    chunk: Chunk
    inferred: Inference
    evidence: Floats
    weight: Floats
    flagged: Flags


@dataclass(slots=True, kw_only=True)
class _Thought:
    """What is thought of a chunk's readings on the way to its fit.

    counted : (S,) readings that count; weight, flagged : (N,)
    jump : readings that were confirmed against the others, and how far they lie off
    """

    belief: Belief
    counted: Floats
    weight: Floats
    flagged: Flags
    jump: tuple[Integers, Floats] | None = None


def fit(
    *,
    readings: Laid,
    hierarchy: Hierarchy,
    limit_mm: Floats,
    known_installation: Flags,
    hyper: ClassHyperparameters,
    robust: bool = True,
    bends: bool = False,
    confirmed: Flags | None = None,
    others: Others | None = None,
) -> Fit:
    """Return the fit of a chunk none of whose series is empty.

    limit_mm : (S,) > 0 [mm]; known_installation : (S,)
    bends : sum up how readings bow in any case (for learning)
    confirmed : (N,) readings that keep full weight whatever the others say
    others : (S,) what all others say of each series, where it is held fixed
    """
    class_of_series = hierarchy.class_of_series
    observed = observe(
        readings=readings,
        class_of_series=class_of_series,
        limit_mm=limit_mm,
        known_installation=known_installation.astype(hyper.log_rate.dtype),
        hyper=hyper,
    )
    chunk = Chunk(
        observed=observed,
        hierarchy=hierarchy,
        class_of_series=class_of_series,
        limit_mm=limit_mm,
        hyper=hyper,
        others=others,
    )
    thought = _nothing_thought(chunk)
    if robust:
        _think(thought, chunk, readings.installation, confirmed)
    evidence = chunks.weigh(chunk, thought.belief.log_rate)
    _let_jumps_stand(thought, chunk, evidence)
    inferred = inference.infer(
        chunk,
        weight=evidence * thought.weight,
        counted=thought.counted,
        belief=thought.belief,
        sweeps=SWEEPS if robust else SWEEPS + 1,
        bends=bends,
        reading_variance=None if bends else observed.variance / thought.weight,
    )
    return Fit(
        chunk=chunk,
        inferred=inferred,
        evidence=evidence,
        weight=thought.weight,
        flagged=thought.flagged,
    )


def _nothing_thought(chunk: Chunk) -> _Thought:
    observed = chunk.observed
    return _Thought(
        belief=chunks.before(chunk),
        counted=observed.layout.counts.astype(chunk.hyper.log_rate.dtype),
        weight=np.ones(observed.age.size, dtype=np.float32),
        flagged=np.zeros(observed.age.size, dtype=np.bool_),
    )


def _think(
    thought: _Thought, chunk: Chunk, installation: Flags, confirmed: Flags | None
) -> None:
    """Look at the readings once: what does not belong loses weight."""
    observed, counted = chunk.observed, thought.counted
    thought.belief, at, square, gap = _first_pass(
        chunk, thought.belief, counted, installation
    )
    series = observed.layout.series_of(at)
    stray = outliers.stray(square=square, series=series, count=counted.size)
    if confirmed is not None:
        sure = confirmed[at]
        thought.jump = at[sure], gap[sure]
        # a jump draws the line: what lies off it before is no stray for that
        since = np.full(counted.size, np.inf, dtype=np.float32)
        deep = sure & (gap > 0)
        np.minimum.at(since, series[deep], observed.age[at[deep]])
        stray &= ~sure & (observed.age[at] <= since[series])
        square = np.where(sure, 0.0, square)
    thought.weight[at] = outliers.robust_weight(square, stray)
    thought.flagged[at] = stray
    lost = np.bincount(series, 1.0 - thought.weight[at], counted.size)
    thought.counted -= lost.astype(counted.dtype)


def _let_jumps_stand(thought: _Thought, chunk: Chunk, evidence: Floats) -> None:
    """Take weight from what lies before a reading that was confirmed off the others."""
    if thought.jump is None or not thought.jump[0].size:
        return
    at, gap_mm = thought.jump
    held = outliers.before_a_jump(
        at=at, gap_mm=gap_mm, observed=chunk.observed, evidence=evidence
    )
    lost = chunk.observed.layout.sum(thought.weight * (np.float32(1.0) - held))
    thought.counted -= lost
    thought.weight *= held


def _first_pass(
    chunk: Chunk, belief: Belief, counted: Floats, installation: Flags
) -> tuple[Belief, Integers, Floats, Floats]:
    """Return a first belief, and the readings over the knee with their squares and
    how far each lies from what the others say [mm].

    The installation is a promise, not a reading: it is never suspected.
    """
    weight = chunks.weigh(chunk, belief.log_rate)
    fitted = inference.infer(
        chunk, weight=weight, counted=counted, belief=belief, sweeps=1
    )
    seen = outliers.residuals(chunk, fitted=fitted, weight=weight)
    square = seen.square
    at = np.flatnonzero(square > np.float32(outliers.KNEE**2))
    at = at[~installation[at]]
    gap = seen.residual[at] / (np.float32(1.0) - seen.leverage[at])
    return fitted.belief, at, square[at].astype(np.float64), gap
