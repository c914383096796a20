"""The figures of a document, each under a key that stays the same."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from reports import content
from reports.figures import (
    groove_section,
    portfolio_strip,
    rim_section,
    svg,
    tension_bars,
    wear_curve,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """A figure that can be drawn."""

    key: str
    title: str
    description: str
    draw: Callable[[], Any]
    figure: Any


def named(document: content.Content) -> list[Named]:
    """Return the figures of a document in the order they stand in it."""
    if isinstance(document, content.PortfolioReview):
        return list(_strip(document.strip, document.wording))
    if isinstance(document, content.RegrooveSheet):
        return list(_to_turn(document))
    if not isinstance(document, content.ConditionReport):
        return []
    found = list(_strip(document.summary.strip, document.wording))
    for machine in document.machines:
        found += of_machine(machine, document.wording)
    return found


def svg_of(document: content.Content, *, key: str) -> str | None:
    """Return one figure as SVG; None if the document has none of this key.

    A figure that leaves its document takes the document's cautions along, in the
    description that goes with the drawing.
    """
    head = document.masthead
    cautions = " ".join((*(each.text for each in head.cautions), head.deferral))
    for figure in named(document):
        if figure.key == key:
            return svg.svg(
                drawing=figure.draw(),
                title=figure.title,
                description=f"{figure.description} {cautions}",
            )
    return None


def inline(named: Named) -> str:
    """Return a figure as SVG that stands in a page."""
    return svg.inline(
        drawing=named.draw(),
        title=named.title,
        description=named.description,
        key=named.key,
    )


def _strip(
    strip: content.PortfolioStrip | None, wording: content.Wording
) -> Iterator[Named]:
    if strip is not None:
        yield _named(
            "strip",
            strip,
            partial(portfolio_strip.portfolio_strip, strip=strip, wording=wording),
        )


def _to_turn(document: content.RegrooveSheet) -> Iterator[Named]:
    if document.section is not None:
        draw = partial(
            groove_section.groove_section,
            section=document.section,
            wording=document.wording.to_turn(),
        )
        yield _named(f"{document.machine_code}.groove", document.section, draw)


def of_machine(
    machine: content.MachinePages, wording: content.Wording
) -> Iterator[Named]:
    """Yield the figures of one machine in the order they stand in a document."""
    for number, section in enumerate(machine.groove_sections, start=1):
        draw = partial(groove_section.groove_section, section=section, wording=wording)
        yield _named(f"{machine.code}.groove-{number}", section, draw)
    for number, curve in enumerate(machine.wear_curves, start=1):
        draw = partial(wear_curve.wear_curve, curve=curve, wording=wording)
        yield _named(f"{machine.code}.wear-{number}", curve, draw)
    if machine.rim is not None:
        draw = partial(rim_section.rim_section, rim=machine.rim, wording=wording)
        yield _named(f"{machine.code}.rim", machine.rim, draw)
    if machine.tensions is not None:
        draw = partial(
            tension_bars.tension_bars, tensions=machine.tensions, wording=wording
        )
        yield _named(f"{machine.code}.tensions", machine.tensions, draw)


def _named(key: str, figure: Any, draw: Callable[[], Any]) -> Named:
    return Named(
        key=key,
        title=figure.title,
        description=figure.description,
        draw=draw,
        figure=figure,
    )
