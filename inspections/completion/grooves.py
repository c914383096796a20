"""Grooves cut again: metal goes away, and what was hardened may go with it."""

from collections.abc import Iterator
from datetime import date

from fleet.models import Sheave, SheaveGeometry
from fleet.platform.database.tenancy import Scope
from inspections.completion.periods import FittedParts
from inspections.completion.problems import NotTaken, WorkConflict
from inspections.completion.report import Fields, Notice
from inspections.engineering.groove import BY_CODE

HARDENED_AGAIN = "hardened_again"
CLEARANCE = "bottom_clearance_new_mm"
# A hundredth of a millimetre is beyond what pitch diameters are known to.
_SAME_MM = 0.01


def store(*, scope: Scope, sheave: Sheave, given: Fields, day: date) -> SheaveGeometry:
    """Store the grooves as cut, valid from a day."""
    fields = {name: v for name, v in given.items() if name != HARDENED_AGAIN}
    row: SheaveGeometry = SheaveGeometry.objects.create(
        contractor_id=scope.contractor_id, sheave=sheave, valid_from=day, **fields
    )
    return row


def check_hardening_said(given: Fields) -> None:
    """Raise NotTaken where nothing is said of the hardened layer after a cut."""
    if "hardened_depth_mm" not in given:
        raise NotTaken(
            "say how much of a hardened layer the new grooves have: "
            "hardened_depth_mm, 0 if they are not hardened, null if nobody knows "
            "(they then count as not hardened)",
            pointer="/geometry/hardened_depth_mm",
            code="hardened-depth-not-said",
        )


def check_cut(*, given: Fields, before: FittedParts, day: date) -> None:
    """Raise NotTaken or WorkConflict where a cut cannot have been like this."""
    old, later = before.geometry, before.later_geometry
    if old is not None and old.valid_from == day:
        raise WorkConflict(
            f"grooves cut on {day} are registered already",
            pointer="/done_on",
            code="cut-that-day",
        )
    pitch_mm = given.get("pitch_diameter_mm")
    if pitch_mm is None:
        return
    was_mm = old.pitch_diameter_mm if old else None
    if was_mm is not None and pitch_mm >= was_mm:
        raise NotTaken(
            f"pitch_diameter_mm is {pitch_mm:g}; a cut takes metal away, so it must "
            f"be below {was_mm:g}, as before",
            pointer="/geometry/pitch_diameter_mm",
            code="cut-adds-metal",
        )
    later_mm = later.pitch_diameter_mm if later else None
    if later is not None and later_mm is not None and pitch_mm <= later_mm:
        raise NotTaken(
            f"pitch_diameter_mm is {pitch_mm:g}; the later cut of {later.valid_from} "
            f"left {later_mm:g}, so this one must be above",
            pointer="/geometry/pitch_diameter_mm",
            code="cut-below-later-one",
        )
    if was_mm is not None and old is not None:
        _check_layer(given, old.hardened_depth_mm, cut_mm=(was_mm - pitch_mm) / 2.0)


def _check_layer(given: Fields, was_mm: float | None, *, cut_mm: float) -> None:
    """Raise NotTaken where more hardened layer is told than the cut can have left."""
    told_mm = given.get("hardened_depth_mm")
    if not told_mm or was_mm is None or given.get(HARDENED_AGAIN):
        return
    most_mm = max(was_mm - cut_mm, 0.0)
    if told_mm > most_mm + _SAME_MM:
        raise NotTaken(
            f"hardened_depth_mm is {told_mm:g}; of {was_mm:g} mm a cut of "
            f"{cut_mm:g} mm leaves at most {most_mm:g}. Send {HARDENED_AGAIN}: true "
            "if the grooves were hardened after the cut",
            pointer="/geometry/hardened_depth_mm",
            code="hardened-depth-too-large",
        )


def notices(*, given: Fields, before: FittedParts, is_cut: bool) -> Iterator[Notice]:
    """Yield what the new grooves lack, and what goes with a smaller sheave."""
    if given.get("pitch_diameter_mm") is None:
        yield Notice(
            code="pitch-diameter-missing",
            detail="without the pitch diameter traction, strength and speed are not "
            "assessed",
        )
    shape = BY_CODE.get(given["form"])
    columns = shape.columns if shape else ()
    asked = {name for each in columns for name in each.columns}
    if CLEARANCE in asked and given.get(CLEARANCE) is None:
        yield Notice(
            code="clearance-as-new-missing",
            detail="without the clearance as cut the day the rope bottoms is not "
            "forecast",
        )
    if given.get("hardened_depth_mm") is None:
        yield Notice(
            code="hardening-unknown",
            detail="whether the new grooves are hardened is not known: they count as "
            "not hardened",
        )
    if is_cut:
        yield from _smaller(given, before)


def _smaller(given: Fields, before: FittedParts) -> Iterator[Notice]:
    old, pitch_mm = before.geometry, given.get("pitch_diameter_mm")
    was_mm = old.pitch_diameter_mm if old else None
    if pitch_mm is not None and was_mm:
        share = 100.0 * (was_mm - pitch_mm) / was_mm
        yield Notice(
            code="speed-falls",
            detail=f"the car runs {share:.2f} % slower: sheave diameter in the "
            "control, encoder, slow-down and levelling are set again, rope keepers too",
        )
    least_mm = before.sheave.minimum_pitch_diameter_mm
    if pitch_mm is not None and least_mm is not None and pitch_mm < least_mm:
        yield Notice(
            code="below-least-diameter",
            detail=f"{pitch_mm:g} mm is below the maker's least pitch diameter of "
            f"{least_mm:g} mm: ask the maker before the machine runs",
        )
    layer_mm = old.hardened_depth_mm if old else None
    if layer_mm and given.get("hardened_depth_mm") == 0:
        yield Notice(
            code="hardening-gone",
            detail="the grooves were hardened and are not any more: they wear faster, "
            "and a V without an undercut is not permitted unhardened (EN 81-50:2014, "
            "5.11.2.3.1, from memory)",
        )
