"""Faults put back: each made a machine look better for knowing less or being worse.

Most are filters on what the assessment is given, so that they hold whatever the rules
are written like; the histories must tell each by a violation that is not there without.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from copy import copy
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any
from unittest.mock import patch

from tests.histories import changes, estate
from tests.histories.lean import Lean
from tests.histories.promises import Violation

# Estates of lives that are looked through at most for one fault.
ESTATES, LIVES, STEPS = 4, 12, 4
_BREAKS = ("breaks_total", "breaks_worst_strand", "breaks_adjacent", "breaks_valley")

Faulty = Callable[[], AbstractContextManager[Any]]
Filter = Callable[[Any], Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutant:
    """A fault, and the lives in which it would be met."""

    put_back: Faulty
    lean: Lean
    steps: int = STEPS


def _filtered(change: Filter) -> Faulty:
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


def _kept(snapshot: Any, keep: Callable[[Any], bool]) -> Any:
    return replace(snapshot, readings=tuple(r for r in snapshot.readings if keep(r)))


def _latest_only(*kinds: str, within: Callable[[Any], Any]) -> Filter:
    """Return a filter that forgets readings of kinds for those of the last visit."""

    def change(snapshot: Any) -> Any:
        last = {
            (r.kind, within(r)): r.visit_id
            for r in snapshot.readings
            if r.kind in kinds
        }
        return _kept(
            snapshot,
            lambda r: r.kind not in kinds or last[r.kind, within(r)] == r.visit_id,
        )

    return change


def _last_word(snapshot: Any) -> Any:
    kinds = ("slip_seen", "brake_slide_seen", "check")
    last = {
        (r.kind, r.place.get("part")): r.pk
        for r in snapshot.readings
        if r.kind in kinds
    }
    kept = set(last.values())
    return _kept(snapshot, lambda r: r.kind not in kinds or r.pk in kept)


def _without_wide_bands(snapshot: Any) -> Any:
    nominal = snapshot.rope_set.nominal_diameter_mm if snapshot.rope_set else 13.0
    wide = {
        (r.visit_id, r.groove_id)
        for r in snapshot.readings
        if r.kind == "seat_band_width" and (r.value or 0.0) > 0.3 * nominal
    }
    return _kept(
        snapshot,
        lambda r: r.kind != "seat_band_width" or (r.visit_id, r.groove_id) not in wide,
    )


def _thickest(snapshot: Any) -> Any:
    """Leave a rope's diameters out where a later one is thicker."""
    best: dict[int, float] = {}
    for r in snapshot.readings:
        if r.kind == "rope_diameter" and r.value is not None:
            best[r.rope_id] = max(best.get(r.rope_id, 0.0), r.value)
    return _kept(
        snapshot,
        lambda r: (
            r.kind != "rope_diameter"
            or r.value is None
            or r.value > best[r.rope_id] - 0.2
        ),
    )


def _signed_mean(snapshot: Any) -> Any:
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


def _no_runout(snapshot: Any) -> Any:
    """Take a run-out that was not read for none."""
    if any(r.kind == "underside_runout" for r in snapshot.readings):
        return snapshot
    like = next((r for r in snapshot.readings if r.kind == "rim_thickness"), None)
    if like is None:
        return snapshot
    made = copy(like)
    made.kind, made.value, made.place = "underside_runout", 0.0, {}
    return replace(snapshot, readings=(*snapshot.readings, made))


def _silent_defaults(snapshot: Any) -> Any:
    geometry = snapshot.geometry
    if geometry is not None:
        if geometry.groove_angle_deg is None and geometry.form != "V":
            geometry.groove_angle_deg = 1e-6
        if geometry.form == "V" and geometry.flat_bottom_width_mm is None:
            geometry.flat_bottom_width_mm = 1e-6
    return snapshot


def _no_small_families(snapshot: Any) -> Any:
    """Judge no diameter of a rope that its family prints no limit for."""
    family = snapshot.criteria.code
    if not family.startswith(("ASME", "MLIT", "ISO")):
        return snapshot
    return _kept(snapshot, lambda r: r.kind != "rope_diameter")


@contextmanager
def _stalled_hides() -> Iterator[None]:
    """Say nothing of traction, and limit no seat, where the ropes must slip."""
    from inspections.assessment import assess

    judge = assess.judge

    def faulty(snapshot: Any) -> Any:
        drafts, limits, shared = judge(snapshot)
        if snapshot.machine.stalled_drive == "ROPE_MUST_SLIP":
            drafts = [d for d in drafts if not str(d.topic).startswith("traction")]
            limits = [each for each in limits if each.quantity != "seat_depth"]
        return drafts, limits, shared

    with patch.object(assess, "judge", faulty):
        yield


@contextmanager
def _suspended_into_silence() -> Iterator[None]:
    """Give no planning date while something is asked."""
    from inspections import forecasts
    from inspections.models import Forecast

    project = forecasts.project

    def faulty(**given: Any) -> int:
        stand = project(**given)
        Forecast.objects.within(given["scope"]).filter(
            current=True, state="SUSPENDED"
        ).update(plan_before_on=None)
        return int(stand)

    with patch.object(forecasts, "project", faulty):
        yield


@contextmanager
def _unlatched() -> Iterator[None]:
    """End each stop that no finding of the day asks for, as a later word would."""
    from inspections import assessment
    from inspections.models import Finding, Stop

    assess = assessment.assess

    def faulty(**given: Any) -> Any:
        jobs = assess(**given)
        scope, now = given["scope"], given["as_of"]
        asked = Finding.objects.within(scope).filter(current=True, stops_service=True)
        stops = Stop.objects.within(scope).filter(released_at=None)
        stops.exclude(machine__in=asked.values("machine")).update(
            released_at=now,
            release="WORK",
            released_by=scope.membership_id,
            release_why="not there at the last look",
        )
        return jobs

    with patch.object(assessment, "assess", faulty), _filtered(_last_word)():
        yield


_ONLY_WORSE = (changes.WORSE,)
_ONLY_WORDS = (changes.HEALED,)
MUTANTS: Mapping[str, Mutant] = {
    "a stalled failure hides a real one": Mutant(
        put_back=_stalled_hides,
        lean=Lean(forms=("V", "UNDERCUT"), worse_register=1.0),
    ),
    "a deeper last reading erases the date": Mutant(
        put_back=_suspended_into_silence,
        lean=Lean(
            forms=("UNDERCUT", "V"),
            bad=("bottom_clearance", "seat_band_width"),
            changes=_ONLY_WORSE,
            # A stray is one among others.
            since=4,
        ),
        steps=6,
    ),
    "a later count clears an earlier one": Mutant(
        put_back=_filtered(_latest_only(*_BREAKS, within=lambda r: r.rope_id)),
        lean=Lean(bad=("breaks_total",), changes=_ONLY_WORDS, ways=("elsewhere",)),
    ),
    "a later word clears a stop": Mutant(
        put_back=_unlatched,
        lean=Lean(
            bad=("slip_seen", "check", "brake_slide_seen"),
            changes=_ONLY_WORDS,
            ways=("word",),
        ),
    ),
    "a thicker reading elsewhere clears a condemned rope": Mutant(
        put_back=_filtered(_thickest),
        lean=Lean(bad=("rope_diameter",), changes=_ONLY_WORDS, ways=("elsewhere",)),
    ),
    "a diameter of some families is judged in silence": Mutant(
        put_back=_filtered(_no_small_families),
        lean=Lean(sets=("ISO_4309", "ASME_A17_1", "MLIT_283")),
    ),
    "a run-out that was not read is none": Mutant(
        put_back=_filtered(_no_runout),
        lean=Lean(bad=("underside_runout",), changes=(changes.LESS_READ,)),
    ),
    "offsets are averaged with their signs": Mutant(
        put_back=_filtered(_signed_mean),
        lean=Lean(bad=("rope_mark_offset",), changes=_ONLY_WORSE),
    ),
    "bands too wide for the route are no depth": Mutant(
        put_back=_filtered(_without_wide_bands),
        lean=Lean(forms=("V",), bad=("seat_band_width",), changes=_ONLY_WORSE),
    ),
    "what is missing of a groove is none": Mutant(
        put_back=_filtered(_silent_defaults),
        lean=Lean(
            worse_register=0.0,
            register=(
                ("geometry", "groove_angle_deg"),
                ("geometry", "flat_bottom_width_mm"),
            ),
        ),
    ),
}


def caught(*, estates: int = ESTATES, lives: int = LIVES) -> dict[str, bool]:
    """Return of each fault whether the histories tell it."""
    return {
        name: _is_caught(mutant, estates=estates, lives=lives)
        for name, mutant in MUTANTS.items()
    }


def _is_caught(mutant: Mutant, *, estates: int, lives: int) -> bool:
    for seed in range(700, 700 + estates):
        with mutant.put_back():
            faulty = _violations(seed, lives, mutant)
        if faulty and faulty - _violations(seed, lives, mutant):
            return True
    return False


def _violations(seed: int, lives: int, mutant: Mutant) -> set[tuple[str, ...]]:
    """Return what is violated in an estate, each as what tells it apart."""
    found: list[Violation] = []
    with estate.undone():
        estate.live(
            seed=seed,
            count=lives,
            steps=mutant.steps,
            told=found.append,
            lean=mutant.lean,
        )
    return {(v.life, str(v.step), v.promise, v.change, v.where) for v in found}
