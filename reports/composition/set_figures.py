"""Figures of the whole sheave: metal under its grooves, tensions of its ropes."""

from collections.abc import Sequence

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.models import Finding
from reports import content
from reports.composition import words
from reports.composition.reader import Reader


def rim_section(
    findings: Sequence[Finding], *, reader: Reader
) -> content.RimSection | None:
    """Return the metal under every groove, from the rim finding's own numbers."""
    found = next((f for f in findings if "metal" in f.detail), None)
    if found is None:
        return None
    metal = found.detail["metal"]
    grooves = [g for g in metal["grooves"] if g["nominal_mm"] is not None]
    if len(grooves) < 2:
        return None
    least = [_metal(g) for g in grooves]
    left, right = grooves[0]["axial_mm"] - 12.0, grooves[-1]["axial_mm"] + 12.0
    thick = [
        (g["axial_mm"], -(2 * g["nominal_mm"] - value))
        for g, value in zip(grooves, least, strict=True)
    ]
    worst = [(g["axial_mm"], -value) for g, value in zip(grooves, least, strict=True)]
    outline = (
        (left, 0.0),
        (right, 0.0),
        (right, worst[-1][1]),
        *reversed(worst),
        (left, worst[0][1]),
    )
    minimum = metal["minimum_mm"]
    return content.RimSection(
        title=_("Metal from groove bottom to underside"),
        metal=tuple(outline),
        thickest_underside=tuple(thick),
        after_cut=(),
        least_line=(
            ((left, -minimum), (right, -minimum)) if minimum is not None else ()
        ),
        thicknesses=tuple(
            content.MetalUnderGroove(
                label=str(groove["number"]),
                top=(groove["axial_mm"], 0.0),
                bottom=(groove["axial_mm"], -value),
                value=reader.length(value, digits=1),
                after_cut="",
                is_thinnest=groove["number"] == metal["thinnest"],
            )
            for groove, value in zip(grooves, least, strict=True)
        ),
        limit_label=(
            _("the maker's least metal: %(length)s")
            % {"length": reader.length(minimum, digits=1)}
            if minimum is not None
            else _("the maker's least metal is not known")
        ),
        scale_bar=content.ScaleBar(length_mm=20.0, label=reader.length(20.0, digits=0)),
        caption=_(
            "Drawn from the groove bottoms down, at the worst place round the rim "
            "(readings two standard deviations low, run-out at its worst)."
        ),
        description=_("Rim with %(count)s grooves; the thinnest is groove %(number)s.")
        % {"count": len(grooves), "number": metal["thinnest"]},
    )


def _metal(groove: dict[str, float]) -> float:
    worst = groove["worst_mm"]
    return groove["nominal_mm"] if worst is None else worst


def tension_bars(
    findings: Sequence[Finding], *, reader: Reader
) -> content.TensionBars | None:
    """Return the tensions of the ropes beside their mean and the band allowed."""
    found = next((f for f in findings if "tensions_n" in f.detail), None)
    if found is None or found.limit is None:
        return None
    values = [float(value) for value in found.detail["tensions_n"]]
    mean = sum(values) / len(values)
    lowest = min(values)
    allowed = lowest * (1.0 + found.limit / 100.0)
    scale, unit = reader.force_scale()
    high = max([*values, allowed]) / scale * 1.15
    places = content.axes.nice_positions(low=0.0, high=high)
    return content.TensionBars(
        title=_("Rope tensions, %(place)s") % {"place": words.place(found.place)},
        axis=content.ChartAxis(
            label=_("Tension [%(unit)s]") % {"unit": unit},
            low=0.0,
            high=high,
            ticks=tuple(
                content.AxisTick(position=p, label=reader.plain(p)) for p in places
            ),
        ),
        bars=tuple(
            content.TensionBar(
                label=words.place(f"rope {number}"),
                value=value / scale,
                value_label=reader.force(value),
            )
            for number, value in enumerate(values, start=1)
        ),
        mean=content.AxisTick(
            position=mean / scale,
            label=_("mean %(force)s") % {"force": reader.force(mean)},
        ),
        allowed_low=content.AxisTick(
            position=lowest / scale,
            label=_("lowest %(force)s") % {"force": reader.force(lowest)},
        ),
        allowed_high=content.AxisTick(
            position=allowed / scale,
            label=_("lowest + %(percent)s %%") % {"percent": reader.plain(found.limit)},
        ),
        caption=_("Read on the car side, ropes in their order on the sheave."),
        description=ngettext(
            "Tension of %(count)s rope.", "Tensions of %(count)s ropes.", len(values)
        )
        % {"count": len(values)},
    )
