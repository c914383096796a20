"""What a machine is: drive, masses, sheave and groove as new, ropes."""

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.models import Machine, RopeSet, SheaveGeometry
from fleet.platform.choices import FieldSource
from fleet.platform.models.tenant import Sourced
from inspections.engineering.groove import BY_CODE
from inspections.inputs import Snapshot
from reports import content
from reports.composition import words
from reports.composition.reader import Reader


def description(snapshot: Snapshot, *, reader: Reader) -> tuple[content.Row, ...]:
    """Return what the register says of a machine; what is not known is said."""
    return tuple(
        content.Row(label=label, value=value)
        for label, value in _lines(snapshot, reader=reader)
    )


def _lines(snapshot: Snapshot, *, reader: Reader) -> Iterator[tuple[str, str]]:
    machine, geometry = snapshot.machine, snapshot.geometry
    yield _("Drive"), _drive(machine, reader=reader)
    yield (
        _("Rated load, speed"),
        ", ".join(
            (
                reader.mass(machine.rated_load_kg) + _assumed(machine, "rated_load_kg")
                if machine.rated_load_kg
                else _("not known"),
                reader.speed(machine.rated_speed_m_s)
                + _assumed(machine, "rated_speed_m_s")
                if machine.rated_speed_m_s
                else _("not known"),
            )
        ),
    )
    yield _("Empty car, balance"), _masses(machine, reader=reader)
    if snapshot.sheave is not None:
        yield _("Sheave"), _sheave(snapshot, reader=reader)
    if geometry is not None:
        yield (
            _("Groove"),
            groove(geometry, count=len(snapshot.grooves), reader=reader),
        )
        yield _("Groove as new"), _as_new(geometry, reader=reader)
    if snapshot.rope_set is not None:
        yield _("Ropes"), ropes(snapshot.rope_set, reader=reader)
    if snapshot.works:
        last = max(snapshot.works, key=lambda work: (work.done_on, work.pk))
        done = words.said(str(last.get_kind_display()))
        yield _("Last work"), f"{done}, {reader.day(last.done_on)}"
        noted = [work for work in snapshot.works if work.note.strip()]
        if noted:
            # What was found at the last work may stand against what is advised now.
            said = max(noted, key=lambda work: (work.done_on, work.pk))
            remark = words.as_entered(said.note)
            yield _("Remark at a work"), f"{remark} ({reader.day(said.done_on)})"
    if snapshot.readings:
        newest = max(reading.taken_at for reading in snapshot.readings)
        yield _("Last reading"), reader.day(newest)
    if machine.trips_per_day:
        yield (
            _("Trips a day"),
            _("about %(count)s") % {"count": reader.plain(machine.trips_per_day)},
        )


def _drive(machine: Machine, *, reader: Reader) -> str:
    text = (
        f"{words.said(str(machine.get_drive_kind_display()))}, "
        f"{machine.roping_ratio}:1, {words.said(str(machine.get_wrap_display()))}"
    )
    if machine.wrap_angle_deg:
        text += " " + _("of %(angle)s°") % {
            "angle": reader.plain(machine.wrap_angle_deg)
        }
        text += _assumed(machine, "wrap_angle_deg")
    return text


def _masses(machine: Machine, *, reader: Reader) -> str:
    car, balance = _("not known"), _("not known")
    if machine.car_mass_kg:
        car = reader.mass(machine.car_mass_kg) + _assumed(machine, "car_mass_kg")
    if machine.balance_ratio is not None:
        balance = f"{reader.plain(round(100 * machine.balance_ratio, 1))} %"
        balance += _assumed(machine, "balance_ratio")
    return f"{car}, {balance}"


def _assumed(row: Sourced, name: str) -> str:
    is_assumed = row.sources.get(name) == FieldSource.ASSUMED
    return _(" (assumed)") if is_assumed else ""


def _sheave(snapshot: Snapshot, *, reader: Reader) -> str:
    sheave, geometry = snapshot.need_sheave(), snapshot.geometry
    new = sheave.pitch_diameter_new_mm
    text = _("not known")
    if new:
        text = _("%(diameter)s as new") % {"diameter": reader.length(new, digits=0)}
        text += _assumed(sheave, "pitch_diameter_new_mm")
    cut = geometry.pitch_diameter_mm if geometry else None
    if cut and cut != new:
        shown = reader.length(cut, digits=1)
        text += ", " + _("%(diameter)s as cut") % {"diameter": shown}
    return f"{sheave.material}, {text}" if sheave.material else text


def groove(geometry: SheaveGeometry, *, count: int, reader: Reader) -> str:
    """Return a groove's form in words."""
    said: list[str] = []
    shape = BY_CODE.get(geometry.form)
    for template, column in shape.told if shape else ((geometry.form, ""),):
        value = getattr(geometry, column) if column else None
        if value or (not said and not column):
            shown = {"angle": reader.plain(value or 0)}
            said.append(_(template) % shown + _assumed(geometry, column))
        elif not said:
            # Nothing stands for an angle that nobody has registered.
            form = _(template).partition("%(")[0].rstrip()
            said.append(_("%(form)s, angle not known") % {"form": form})
    text = ", ".join(said)
    if geometry.hardened_depth_mm:
        text += ", " + _("hardened")
    grooves = ngettext("%(count)s groove", "%(count)s grooves", count)
    return f"{text}, {grooves % {'count': count}}"


def _as_new(geometry: SheaveGeometry, *, reader: Reader) -> str:
    """Return the groove's own measures as cut, and since when it is so."""
    parts = []
    if geometry.seat_radius_mm:
        shown = reader.length(geometry.seat_radius_mm)
        assumed = _assumed(geometry, "seat_radius_mm")
        parts.append(_("seat radius %(length)s") % {"length": shown} + assumed)
    if geometry.bottom_clearance_new_mm:
        shown = reader.length(geometry.bottom_clearance_new_mm)
        assumed = _assumed(geometry, "bottom_clearance_new_mm")
        parts.append(_("clearance %(length)s") % {"length": shown} + assumed)
    if geometry.hardened_depth_mm:
        shown = reader.length(geometry.hardened_depth_mm, digits=1)
        parts.append(_("hardened to %(length)s") % {"length": shown})
    cut_on = _("as cut on %(day)s") % {"day": reader.day(geometry.valid_from)}
    parts.append(cut_on + _assumed(geometry, "valid_from"))
    return ", ".join(parts)


def ropes(rope_set: RopeSet, *, reader: Reader) -> str:
    """Return a rope set in one line."""
    diameter = reader.rope_size(rope_set.nominal_diameter_mm)
    made = [rope_set.strand_class, words.said(str(rope_set.get_core_display()))]
    construction = " ".join(part for part in made if part)
    if not construction:
        construction = _("construction not known")
    fitted = _("fitted %(day)s") % {"day": reader.day(rope_set.fitted_on)}
    fitted += _assumed(rope_set, "fitted_on")
    diameter += _assumed(rope_set, "nominal_diameter_mm")
    return f"{rope_set.ropes_count} × {diameter}, {construction}, {fitted}"
