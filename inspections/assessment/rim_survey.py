"""What was read of a rim since its grooves were cut, as the kernel takes it.

Metal does not grow: each survey stands beside the others, and what was read thin counts
as far as later independent readings at the same mark leave it.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from math import hypot, pi, radians
from statistics import median
from typing import Any

from fleet.models import Sheave
from fleet.register.choices import DraftDirection, RimConstruction
from inspections import inputs
from inspections.engineering import evidence, rim
from inspections.engineering.groove import TurnedGroove, bottoming_depth_mm
from inspections.engineering.rim import sides
from inspections.engineering.rim.underside import LandReading
from inspections.inputs import Missing, Snapshot, noise, sightings
from inspections.models import Reading
from inspections.reasons import Code, Term, because

_ANGLES = {"A": 0.0, "B": pi / 2, "C": pi, "D": 3 * pi / 2}
_THICKER = {
    DraftDirection.THICKER_AT_GROOVE_ONE: rim.Thicker.TOWARDS_DATUM,
    DraftDirection.THICKER_AT_LAST_GROOVE: rim.Thicker.AWAY_FROM_DATUM,
}

Given = dict[str, Any]
Surveys = Sequence[tuple[rim.ThicknessReading, ...]]


def given_of(snapshot: Snapshot, sheave: Sheave) -> tuple[list[Given], tuple[int, ...]]:
    """Return what metal is worked out from, survey by survey and of all together.

    The metal is the least by any of them: a survey of other places clears nothing. The
    second part are the readings. Raises Missing where no survey will do.
    """
    read = land_readings(snapshot, sheave)
    if not read:
        raise Missing(Term.RIM_SURVEY)
    surveys, runouts = _surveys(read), _runouts(snapshot, sheave)
    shared: Given = {
        "grooves": _bottoms(snapshot),
        "runout": _runout(runouts, surveys),
        "web": _web(sheave),
        "bolts": _bolts(sheave),
        "minimum_mm": sheave.minimum_rim_mm,
    }
    found: list[Given] = []
    lacking: Missing | None = None
    for thickness in surveys:
        try:
            draft = _draft(sheave, thickness)
        except Missing as error:
            lacking = error
            continue
        found.append(shared | {"readings": thickness, "draft": draft})
    if not found and lacking is not None:
        raise lacking
    return found, tuple(r.pk for r in (*read, *runouts))


def land_readings(snapshot: Snapshot, sheave: Sheave) -> Sequence[Reading]:
    """Return the readings from the land since the cut; all of them before the first."""
    read = [
        reading
        for reading in snapshot.of_kind("rim_thickness")
        if reading.sheave_id == sheave.pk and reading.place.get("over") == "land"
    ]
    since = [r for r in read if inputs.seats.is_since_cut(snapshot, r)]
    return since or read


def _surveys(read: Sequence[Reading]) -> Surveys:
    """Return each visit's thickness by places, and the least of every place [mm]."""
    by_place: dict[str, dict[int, list[Reading]]]
    by_place = defaultdict(lambda: defaultdict(list))
    for reading in read:
        place = f"{reading.place['axial_mm']}/{reading.place['mark']}"
        by_place[place][reading.visit_id].append(reading)
    visits: dict[int, list[rim.ThicknessReading]] = defaultdict(list)
    least = []
    for place, of_visits in by_place.items():
        counted = {
            visit: _thickness(rows, value)
            for (visit, rows), value in zip(
                of_visits.items(), _counted(of_visits, place, falls=True), strict=True
            )
        }
        for visit, thickness in counted.items():
            visits[visit].append(thickness)
        least.append(min(counted.values(), key=lambda each: each.thickness_mm))
    single = [tuple(each) for each in visits.values()]
    return single if len(single) == 1 else [*single, tuple(least)]


def _counted(
    visits: Mapping[int, Sequence[Reading]], mark: str, *, falls: bool
) -> list[float]:
    """Return what the median of each visit to a mark still counts for [mm]."""
    return evidence.counts_as_mm(
        sightings=[
            sightings.sighting(
                value_mm=median(r.value or 0.0 for r in rows),
                sd_mm=max(noise.of(r) for r in rows),
                taken_at=rows[0].taken_at,
                visit_id=visit,
                readings=rows,
                mark=mark,
            )
            for visit, rows in visits.items()
        ],
        falls=falls,
    )


def _thickness(rows: Sequence[Reading], value_mm: float) -> rim.ThicknessReading:
    first = rows[0]
    return rim.ThicknessReading(
        axial_mm=float(first.place["axial_mm"]),
        thickness_mm=value_mm,
        sd_mm=max(noise.of(row) for row in rows),
        angle_rad=_ANGLES[first.place["mark"]],
        surface=rim.Surface.LAND,
    )


def _runouts(snapshot: Snapshot, sheave: Sheave) -> list[Reading]:
    return [
        reading
        for reading in snapshot.of_kind("underside_runout")
        if reading.sheave_id == sheave.pk and reading.value is not None
    ]


def _runout(read: Sequence[Reading], surveys: Surveys) -> rim.CastRunout | None:
    """Return the greatest run-out: by the gauge, else by a survey round the rim."""
    by_place: dict[str, dict[int, list[Reading]]]
    by_place = defaultdict(lambda: defaultdict(list))
    for reading in read:
        place = str(reading.place.get("axial_mm", ""))
        by_place[place][reading.visit_id].append(reading)
    worst_mm = max(
        (
            value
            for place, visits in by_place.items()
            for value in _counted(visits, place, falls=False)
        ),
        default=None,
    )
    if worst_mm is not None:
        sd_mm = max(noise.of(reading) for reading in read)
        return rim.CastRunout(indicator_mm=worst_mm, sd_mm=sd_mm)
    found = [
        made
        for each in surveys
        if (made := sides.runout_from_readings(land=_land(each))) is not None
    ]
    return max(found, key=lambda each: each.indicator_mm, default=None)


def _land(readings: tuple[rim.ThicknessReading, ...]) -> tuple[LandReading, ...]:
    return sides.from_land(readings=readings, grooves=())


def _web(sheave: Sheave) -> rim.Web | None:
    if sheave.web_axial_mm is None or sheave.web_thickness_mm is None:
        return None
    return rim.Web(axial_mm=sheave.web_axial_mm, thickness_mm=sheave.web_thickness_mm)


def _bolts(sheave: Sheave) -> rim.Bolts | None:
    """Return the bolt holes of a bolted rim, None if there are none or not known."""
    land, circle = sheave.land_diameter_mm, sheave.bolt_circle_diameter_mm
    hole = sheave.bolt_hole_diameter_mm
    low, high = sheave.bolt_axial_low_mm, sheave.bolt_axial_high_mm
    if sheave.rim_construction != RimConstruction.BOLTED or None in (
        land,
        circle,
        hole,
        low,
        high,
    ):
        return None
    spread = [
        float(sheave.uncertainties.get(name, 0.0)) / 2.0
        for name in ("land_diameter_mm", "bolt_circle_diameter_mm")
    ]
    return rim.Bolts(
        land_radius_mm=(land or 0.0) / 2.0,
        circle_radius_mm=(circle or 0.0) / 2.0,
        hole_diameter_mm=hole or 0.0,
        axial_low_mm=low or 0.0,
        axial_high_mm=high or 0.0,
        sd_mm=hypot(*spread),
    )


def _draft(sheave: Sheave, thickness: Sequence[rim.ThicknessReading]) -> rim.Draft:
    """Return the draft as known, as a stated range, or to be found from places."""
    if len({r.axial_mm for r in thickness}) > 1:
        return rim.MeasuredDraft()
    thicker = _THICKER.get(DraftDirection(sheave.draft_direction))
    if sheave.draft_deg is None:
        raise Missing(Term.DRAFT_UNDERSIDE)
    if sheave.draft_high_deg is not None or thicker is None:
        high = sheave.draft_high_deg or sheave.draft_deg
        low = sheave.draft_deg if sheave.draft_high_deg is not None else 0.0
        return rim.DraftRange(
            low_rad=radians(low), high_rad=radians(high), thicker=thicker
        )
    return rim.KnownDraft(angle_rad=radians(sheave.draft_deg), thicker=thicker)


def _bottoms(snapshot: Snapshot) -> tuple[rim.GrooveBottom, ...]:
    """Return place and depth of every groove's bottom below the rim. Raises Missing.

    The depth is read, or the clearance as new below a rope whose crown was at a
    known height; it is never taken from a drawing that is not registered.
    """
    found = []
    for row in snapshot.grooves:
        if row.axial_mm is None:
            raise Missing(because(Code.PLACE_OF_GROOVE, groove=row.number))
        depths = depths_since_cut(snapshot, row.pk)
        depth, sd = _depth(snapshot, row.pk, depths)
        found.append(
            rim.GrooveBottom(
                number=row.number,
                axial_mm=row.axial_mm,
                bottom_depth_mm=depth,
                sd_mm=sd,
            )
        )
    if not found:
        raise Missing(Term.SHEAVE_GROOVES)
    return tuple(found)


def depths_since_cut(snapshot: Snapshot, groove_id: int) -> list[Reading]:
    """Return the depths of a groove's bottom as it is now, oldest first.

    What was read before a cut is another bottom's, and less deep.
    """
    return [
        reading
        for reading in snapshot.of_kind("groove_bottom_depth")
        if reading.groove_id == groove_id
        and inputs.seats.is_since_cut(snapshot, reading)
    ]


def _depth(
    snapshot: Snapshot, groove_id: int, depths: list[Reading]
) -> tuple[float, float]:
    if depths:
        return _deepest(depths), max(noise.of(reading) for reading in depths)
    baseline = inputs.seats.baselines(snapshot).get(groove_id)
    groove: TurnedGroove = inputs.groove_cut(snapshot)
    if baseline is None:
        raise Missing(Term.BOTTOM_DEPTHS)
    height, diameter, _ = baseline
    clearance = bottoming_depth_mm(groove=groove, rope_diameter_mm=diameter)
    if clearance is None:
        raise Missing(Term.BOTTOM_DEPTHS)
    return diameter - height + clearance, noise.NOISE_MM["rope_crown_height"] * 1.5


def _deepest(depths: Sequence[Reading]) -> float:
    """Return the deepest that a bottom was read and still counts for [mm]."""
    by_mark: dict[str, dict[int, list[Reading]]]
    by_mark = defaultdict(lambda: defaultdict(list))
    for reading in depths:
        mark = str(reading.place.get("mark", ""))
        by_mark[mark][reading.visit_id].append(reading)
    return max(
        value
        for mark, visits in by_mark.items()
        for value in _counted(visits, mark, falls=False)
    )
