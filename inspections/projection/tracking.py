"""Level and rate of wear at the last reading, where the rate itself wanders.

State: level x and rate b. Between readings a time Δ apart

    x ← x + b·Δ,   b ← b,   gathering   Q = q·[Δ³/3, Δ²/2; Δ²/2, Δ] + [r·Δ, 0; 0, 0]

with q = ψ²b² of an integrated random walk and r = φ²b² of wear in bursts; each reading
then corrects both (Kalman 1960; diffuse beginning: the first two readings set the
state). Without wander this is weighted least squares. Readings lie in columns, so each
step is done for all series at once.

The determinant of the covariance is carried along: by subtraction, two visits within
hours of each other would leave a variance of the rate that is rounding alone, and with
it levels of kilometres.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Floats
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.layout import Columns, Layout, columns, places

LEAST_DRIFT, LEAST_BURST = 0.08, 0.15
"""Below both of these discounted sums are faster, and on simulated fleets with little
wander nearer the exact posterior."""
LEAST_GAP = np.float32(1.0 / 365.25)
"""Readings count as at least a day apart [clock units]: nearer ones say nothing of a
rate, and single precision holds no shorter time some years back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackLine:
    """What readings say of each series (S,): a line that holds now.

    centre_clock : <= 0, from the last reading [clock]; there level and slope are
        independent of each other
    level : at the centre, from the last reading [mm]; slope : [mm/clock]
    level_variance, slope_variance : [mm²], [mm²/clock²]; huge where unknown
    """

    centre_clock: Floats
    level: Floats
    slope: Floats
    level_variance: Floats
    slope_variance: Floats


def wanders(hyper: ClassHyperparameters) -> bool:
    """Return whether the rate of any class wanders enough to be tracked."""
    return bool(
        np.any(hyper.drift >= LEAST_DRIFT) or np.any(hyper.burst >= LEAST_BURST)
    )


def track(
    *, age: Floats, wear: Floats, variance: Floats, layout: Layout, q: Floats, r: Floats
) -> TrackLine:
    """Return the line of each series as of its last reading, single precision.

    age, wear, variance : (N,) single; variance of a reading, strays enlarged
    q, r : (S,) wander [mm²/clock³] and bursts [mm²/clock]
    """
    q, r = q.astype(np.float32), r.astype(np.float32)
    if isinstance(layout, Columns):
        return _track(age, wear, variance, layout, q, r)
    order = np.argsort(-layout.counts, kind="stable")
    laid = columns(layout.counts[order])
    at = places(laid=laid, starts=layout.first[order])
    line = _track(age[at], wear[at], variance[at], laid, q[order], r[order])
    back = np.argsort(order)
    return TrackLine(
        **{name: getattr(line, name)[back] for name in TrackLine.__slots__}
    )


def _track(
    age: Floats,
    wear: Floats,
    variance: Floats,
    laid: Columns,
    q: Floats,
    r: Floats,
) -> TrackLine:
    size = laid.lengths[0]
    x, p11 = wear[:size].copy(), variance[:size].copy()
    b, p12 = np.zeros_like(x), np.zeros_like(x)
    p22, det = np.full_like(x, np.inf), np.full_like(x, np.inf)
    for k, (length, edge) in enumerate(
        zip(laid.lengths[1:], laid.edges[1:], strict=False), start=1
    ):
        here = slice(edge, edge + length)
        before = slice(laid.edges[k - 1], laid.edges[k - 1] + length)
        dt, y, v = age[before] - age[here], wear[here], variance[here]
        np.maximum(dt, LEAST_GAP, out=dt)
        qd, rd = q[:length] * dt, r[:length] * dt
        wander = qd * dt * dt / 3 + rd
        if k == 1:
            # two readings: the chord, and the wander since the first of them
            inverse = 1 / dt
            b[:length] = (y - x[:length]) * inverse
            square = inverse * inverse
            behind = p11[:length] + wander
            det[:length] = v * behind * square
            p22[:length] = (behind + v) * square
            x[:length], p11[:length], p12[:length] = y, v, v * inverse
            continue
        s11, s12, s22 = p11[:length], p12[:length], p22[:length]
        s11 = s11 + dt * (2 * s12 + dt * s22)
        s12 = s12 + dt * s22
        cross = 0.5 * qd * dt
        area = det[:length] + s11 * qd + s22 * wander - 2 * s12 * cross
        area += wander * qd - cross * cross
        s11, s12, s22 = s11 + wander, s12 + cross, s22 + qd
        gain = 1 / (s11 + v)
        k1, k2 = s11 * gain, s12 * gain
        ahead = x[:length] + b[:length] * dt
        gap = y - ahead
        x[:length] = ahead + k1 * gap
        b[:length] += k2 * gap
        p11[:length], p22[:length] = v * k1, (area + s22 * v) * gain
        p12[:length] = s12 * v * gain
        det[:length] = area * v * gain
    return _line(x, b, p11, p12, p22, det)


def _line(
    x: Floats, b: Floats, p11: Floats, p12: Floats, p22: Floats, det: Floats
) -> TrackLine:
    """Return the state moved to where level and slope are independent."""
    known = np.isfinite(p22)
    safe = np.maximum(p22, np.float32(1e-12))
    centre = np.where(known, -p12 / safe, 0.0)
    return TrackLine(
        centre_clock=np.minimum(centre, 0.0),
        level=x + b * centre,
        slope=b,
        level_variance=np.where(known, det / np.where(known, safe, 1.0), p11),
        slope_variance=np.minimum(safe, np.float32(1e9)),
    )
