"""Faults put back: each made a machine look better for knowing less or being worse.

These are filters on what the assessment is given, so that they hold whatever the rules
are written like; the histories must tell each by a violation that is not there without.
"""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from copy import copy
from dataclasses import replace
from itertools import groupby
from typing import Any
from unittest.mock import patch

BREAKS = ("breaks_total", "breaks_worst_strand", "breaks_adjacent", "breaks_valley")

_THICKER_MM = 0.2

Faulty = Callable[[], AbstractContextManager[Any]]
Filter = Callable[[Any], Any]


def filtered(change: Filter) -> Faulty:
    """Return a fault that changes every snapshot before it is judged."""

    @contextmanager
    def put_back() -> Iterator[None]:
        from inspections import inputs

        load = inputs.load

        def faulty(**given: Any) -> Any:
            return [change(snapshot) for snapshot in load(**given)]

        with patch.object(inputs, "load", faulty):
            yield

    return put_back


def kept(snapshot: Any, keep: Callable[[Any], bool]) -> Any:
    return replace(snapshot, readings=tuple(r for r in snapshot.readings if keep(r)))


def latest_only(*kinds: str, within: Callable[[Any], Any]) -> Filter:
    """Return a filter that forgets readings of kinds for those of the last visit."""

    def change(snapshot: Any) -> Any:
        last = {
            (r.kind, within(r)): r.visit_id
            for r in snapshot.readings
            if r.kind in kinds
        }
        return kept(
            snapshot,
            lambda r: r.kind not in kinds or last[r.kind, within(r)] == r.visit_id,
        )

    return change


def pass_beside(snapshot: Any) -> Any:
    """Let what was in order beside a defect, in the same visit, stand for both."""
    bad = ("defect", "yes")
    kinds = ("slip_seen", "brake_slide_seen", "check")
    good = {
        (r.visit_id, r.kind, r.place.get("part"))
        for r in snapshot.readings
        if r.kind in kinds and r.word not in bad
    }
    return kept(
        snapshot,
        lambda r: (
            r.kind not in kinds
            or r.word not in bad
            or (r.visit_id, r.kind, r.place.get("part")) not in good
        ),
    )


def more_beside(snapshot: Any) -> Any:
    """Drop a rope's counts where one strand holds more than the whole count."""
    totals = {
        (r.visit_id, r.rope_id): r.value
        for r in snapshot.readings
        if r.kind == "breaks_total"
    }
    over = {
        at
        for r in snapshot.readings
        if r.kind == "breaks_adjacent"
        and r.value > totals.get(at := (r.visit_id, r.rope_id), r.value)
    }
    ropes = {rope_id for _, rope_id in over}
    return kept(snapshot, lambda r: r.kind not in BREAKS or r.rope_id not in ropes)


def last_word(snapshot: Any) -> Any:
    kinds = ("slip_seen", "brake_slide_seen", "check")
    last = {
        (r.kind, r.place.get("part")): r.pk
        for r in snapshot.readings
        if r.kind in kinds
    }
    words = set(last.values())
    return kept(snapshot, lambda r: r.kind not in kinds or r.pk in words)


def without_wide_bands(snapshot: Any) -> Any:
    nominal = snapshot.rope_set.nominal_diameter_mm if snapshot.rope_set else 13.0
    wide = {
        (r.visit_id, r.groove_id)
        for r in snapshot.readings
        if r.kind == "seat_band_width" and (r.value or 0.0) > 0.3 * nominal
    }
    return kept(
        snapshot,
        lambda r: r.kind != "seat_band_width" or (r.visit_id, r.groove_id) not in wide,
    )


def thickest(snapshot: Any) -> Any:
    """Leave a rope's diameters out where a later visit read it thicker elsewhere."""
    kind = "rope_diameter"
    read = [r for r in snapshot.readings if r.kind == kind and r.value is not None]

    def is_thicker(later: Any, than: Any) -> bool:
        return bool(
            later.rope_id == than.rope_id
            and later.taken_at > than.taken_at
            and later.visit_id != than.visit_id
            and later.place.get("station") != than.place.get("station")
            and later.value > than.value + _THICKER_MM
        )

    gone = {r.pk for r in read if any(is_thicker(later, r) for later in read)}
    return kept(snapshot, lambda r: r.pk not in gone)


def signed_mean(snapshot: Any) -> Any:
    """Judge the mean of a rope's mark offsets, signs and all."""
    kind = "rope_mark_offset"
    marks = [r for r in snapshot.readings if r.kind == kind]
    by_rope = {r.rope_id for r in marks}
    kept = []
    for rope_id in by_rope:
        own = [r for r in marks if r.rope_id == rope_id]
        for _, group in groupby(own, key=lambda r: r.visit_id):
            rows = list(group)
            mean = sum(r.value or 0.0 for r in rows) / len(rows)
            for r in rows:
                r.value = mean
            kept += rows
    return snapshot


def no_runout(snapshot: Any) -> Any:
    """Take a run-out that was not read for none."""
    if any(r.kind == "underside_runout" for r in snapshot.readings):
        return snapshot
    like = next((r for r in snapshot.readings if r.kind == "rim_thickness"), None)
    if like is None:
        return snapshot
    made = copy(like)
    made.kind, made.value, made.place = "underside_runout", 0.0, {}
    return replace(snapshot, readings=(*snapshot.readings, made))


def silent_defaults(snapshot: Any) -> Any:
    geometry = snapshot.geometry
    if geometry is not None:
        if geometry.groove_angle_deg is None and geometry.form != "V":
            geometry.groove_angle_deg = 1e-6
        if geometry.form == "V" and geometry.flat_bottom_width_mm is None:
            geometry.flat_bottom_width_mm = 1e-6
    return snapshot


_WEIGHED = {"car_mass_kg": "car_mass", "balance_ratio": "balance_load"}


def masses_as_read(snapshot: Any) -> Any:
    """Let what was read last take the place of what is registered."""
    for column, kind in _WEIGHED.items():
        last = snapshot.latest(kind)
        if last is not None:
            setattr(snapshot.machine, column, last.value)
    return snapshot
