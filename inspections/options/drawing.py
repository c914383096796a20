"""The register's drawing of sheave and grooves, for the shop that turns them."""

from inspections.decisions.records import GrooveDrawing
from inspections.inputs import Snapshot
from inspections.models import Reading


def drawing_of(snapshot: Snapshot) -> GrooveDrawing:
    """Return what is registered and read of the sheave; the rest stays empty."""
    geometry, sheave = snapshot.geometry, snapshot.sheave
    places = tuple(
        (row.number, row.axial_mm)
        for row in snapshot.grooves
        if row.axial_mm is not None
    )
    checked = _crack_check(snapshot)
    runout = _last(snapshot, "underside_runout")
    hardness = _last(snapshot, "hardness")
    return GrooveDrawing(
        groove_angle_deg=geometry.groove_angle_deg if geometry else None,
        undercut_angle_deg=geometry.undercut_angle_deg if geometry else None,
        seat_radius_mm=geometry.seat_radius_mm if geometry else None,
        slot_width_mm=geometry.slot_width_mm if geometry else None,
        slot_depth_mm=geometry.slot_depth_mm if geometry else None,
        slot_taper_deg=geometry.slot_taper_deg if geometry else None,
        flat_bottom_width_mm=geometry.flat_bottom_width_mm if geometry else None,
        bottom_clearance_new_mm=(
            geometry.bottom_clearance_new_mm if geometry else None
        ),
        groove_pitch_mm=geometry.groove_pitch_mm if geometry else None,
        axial_mm=places,
        rim_width_mm=sheave.rim_width_mm if sheave else None,
        rim_construction=sheave.get_rim_construction_display() if sheave else "",
        material=sheave.material if sheave else "",
        hardness_hb=hardness.value if hardness else None,
        datum_mark=sheave.datum_mark if sheave else "",
        underside_runout_mm=runout.value if runout else None,
        crack_checked_on=checked.taken_at.date() if checked else None,
    )


def _last(snapshot: Snapshot, kind: str) -> Reading | None:
    """Return the latest reading of a kind on the sheave that is fitted."""
    found = None
    for reading in snapshot.of_kind(kind):
        if snapshot.sheave is not None and reading.sheave_id == snapshot.sheave.pk:
            found = reading
    return found


def _crack_check(snapshot: Snapshot) -> Reading | None:
    """Return the latest crack check that was passed since the sheave was fitted."""
    sheave, last = snapshot.sheave, None
    for reading in snapshot.of_kind("check"):
        fitted = sheave is not None and reading.taken_at.date() >= sheave.fitted_on
        if fitted and reading.place.get("part") == "crack":
            last = reading
    return last if last is not None and last.word == "pass" else None
