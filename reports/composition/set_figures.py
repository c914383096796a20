"""Figures of the whole sheave: metal under its grooves, tensions of its ropes."""

from collections.abc import Sequence

from inspections.models import Finding
from reports import content
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
    under = [(g["axial_mm"], -g["nominal_mm"]) for g in grooves]
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
        title="Metal from groove bottom to underside",
        metal=tuple(outline),
        thickest_underside=tuple(thick),
        after_cut=(),
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
            f"the maker's least metal: {reader.length(minimum, digits=1)}"
            if minimum is not None
            else "the maker's least metal is not known"
        ),
        scale_bar=content.ScaleBar(length_mm=20.0, label=reader.length(20.0, digits=0)),
        caption="Drawn from the groove bottoms down, at the worst place round the "
        "rim (readings two standard deviations low, run-out at its worst).",
        description=f"Rim with {len(under)} grooves; the thinnest is groove "
        f"{metal['thinnest']}.",
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
    scale = 1000.0 if reader.family == "METRIC" else 4.4482216152605
    unit = "kN" if reader.family == "METRIC" else "lbf"
    high = max([*values, allowed]) / scale * 1.15
    places = content.axes.nice_positions(low=0.0, high=high)
    return content.TensionBars(
        title=f"Rope tensions, {found.place}",
        axis=content.Axis(
            label=f"Tension [{unit}]",
            low=0.0,
            high=high,
            ticks=tuple(content.Tick(position=p, label=f"{p:g}") for p in places),
        ),
        bars=tuple(
            content.TensionBar(
                label=f"rope {number}",
                value=value / scale,
                value_label=reader.force(value),
            )
            for number, value in enumerate(values, start=1)
        ),
        mean=content.Tick(position=mean / scale, label=f"mean {reader.force(mean)}"),
        allowed_low=content.Tick(
            position=lowest / scale, label=f"lowest {reader.force(lowest)}"
        ),
        allowed_high=content.Tick(
            position=allowed / scale, label=f"lowest + {found.limit:g} %"
        ),
        caption="Read on the car side, ropes in their order on the sheave.",
        description=f"Tensions of {len(values)} ropes.",
    )
