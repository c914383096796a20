"""The data a shop needs to turn the grooves of a sheave."""

from inspections.decisions.records import (
    GrooveDrawing,
    MachineFacts,
    OptionKind,
    RegrooveOrder,
    Thresholds,
)


def draw_up(
    *,
    facts: MachineFacts,
    drawing: GrooveDrawing,
    thresholds: Thresholds,
    kind: OptionKind = OptionKind.REGROOVE_IN_SHOP,
) -> RegrooveOrder:
    """Return the order: what to turn, what must stay, what to measure after."""
    raise NotImplementedError
