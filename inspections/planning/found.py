"""What was found when planned work was done, beside what was planned."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from fleet.models import RopeSet, SheaveGeometry
from fleet.register.choices import WorkKind
from inspections.kinds import Group, of_group
from inspections.models import PlannedWork
from inspections.reasons import Term

_SEATS = ("rope_crown_height", "bottom_clearance", "seat_band_width")
_TENSIONS = of_group(Group.TENSION)
_CUTS = (WorkKind.REGROOVING, WorkKind.RIM_RENEWAL, WorkKind.SHEAVE_REPLACEMENT)
_OF_MACHINING = {
    "seat_runout": "run-out of the seats",
    "seat_diameter_difference": "difference of the grooves' diameters",
}
_PROOF_OF_MACHINING = {
    "seat_runout": Term.PROOF_RUNOUT,
    "seat_diameter_difference": Term.PROOF_EQUALITY,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDone:
    """Work as it was reported: parts that are new, and what was read as left.

    `geometry` and `rope_set` are None where the work left them as they were;
    `readings` are what was stored: by kind, the part's number and the canonical value.
    """

    kind: str
    done_on: date
    works: tuple[int, ...]
    before: SheaveGeometry | None
    geometry: SheaveGeometry | None
    grooves: int
    rope_set: RopeSet | None
    readings: Mapping[str, Sequence[tuple[int | None, float]]]


def compared(planned: PlannedWork, done: WorkDone) -> Iterator[dict[str, Any]]:
    """Yield what was planned beside what was found, each with its unit."""
    yield _day(planned.due_before_on, done.done_on)
    geometry = done.geometry
    if geometry is not None and geometry.pitch_diameter_mm is not None:
        pitch_mm = geometry.pitch_diameter_mm
        wanted_mm = planned.planned.get("pitch_diameter_after_mm")
        yield _length("pitch diameter", wanted_mm, pitch_mm)
        was_mm = done.before.pitch_diameter_mm if done.before else None
        if was_mm is not None and done.kind == WorkKind.REGROOVING:
            cut = planned.planned.get("cut") or {}
            taken_mm = (was_mm - pitch_mm) / 2.0
            yield _length("depth of the cut", cut.get("cut_depth_mm"), taken_mm)
    for kind, words in _OF_MACHINING.items():
        values = [value for _, value in done.readings.get(kind, ())]
        if values:
            yield _length(words, None, max(values, key=abs))


def _day(due: date | None, done_on: date) -> dict[str, Any]:
    return {
        "what": "day",
        "planned": due.isoformat() if due else None,
        "found": done_on.isoformat(),
        "difference": (done_on - due).days if due else None,
        "unit": "days",
    }


def _length(what: str, planned: float | None, found: float) -> dict[str, Any]:
    return {
        "what": what,
        "planned": planned,
        "found": found,
        "difference": None if planned is None else found - planned,
        "unit": "mm",
    }


def lacking(done: WorkDone) -> Iterator[Term]:
    """Yield what such work has to prove and this report does not.

    What a set has to prove: its certificate, diameters as fitted and tensions; a cut:
    every seat, their run-out and how equal they are. Common practice, no source.
    """
    if done.rope_set is not None:
        if not done.rope_set.certificate:
            yield Term.PROOF_CERTIFICATE
        if not done.readings.get("rope_diameter"):
            yield Term.PROOF_DIAMETERS
    if (done.rope_set is not None or done.kind == WorkKind.EQUALISING) and not any(
        done.readings.get(kind) for kind in _TENSIONS
    ):
        yield Term.PROOF_TENSIONS
    if done.kind in _CUTS:
        if not any(_grooves_read(done, kind) >= done.grooves for kind in _SEATS):
            yield Term.PROOF_SEATS
        for kind, term in _PROOF_OF_MACHINING.items():
            if not done.readings.get(kind):
                yield term
    if done.kind == WorkKind.SHORTENING and not done.readings.get("cwt_runby"):
        yield Term.PROOF_RUNBY


def _grooves_read(done: WorkDone, kind: str) -> int:
    return len({number for number, _ in done.readings.get(kind, ())})
