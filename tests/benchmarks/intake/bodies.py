"""Uploads as a technician's telephone sends them: visits of 50 readings."""

from collections.abc import Iterator, Sequence
from typing import Any

READINGS_A_VISIT = 50
NUMBERS = range(1, 6)


def upload(*, machines: Sequence[str], mark: str, day: int = 0) -> dict[str, Any]:
    """Return an upload with one visit of 50 readings to each machine.

    References begin with the mark, so another mark is another upload.
    """
    at = f"2026-{1 + day // 28:02}-{1 + day % 28:02}T10:00:00+01:00"
    return {
        "sent_at": at,
        "visits": [
            {
                "reference": f"{mark}-{number}",
                "machine": machine,
                "visited_at": at,
                "readings": [
                    {"reference": f"{mark}-{number}-{place}"} | reading
                    for place, reading in enumerate(_readings(number))
                ],
            }
            for number, machine in enumerate(machines)
        ],
    }


def _readings(seed: int) -> Iterator[dict[str, Any]]:
    """Yield the 50 readings of one visit: lengths in both families, counts, words."""
    for rope in NUMBERS:
        worn = (seed * 7 + rope * 3) % 40 / 100
        on_rope = {"rope": rope}
        for direction in ("1", "2"):
            yield on_rope | {
                "kind": "rope_diameter",
                "place": {"station": "car side", "direction": direction},
                **_length(12.9 - worn / 4, inches=seed % 4 == 0),
            }
        for kind in ("breaks_total", "breaks_worst_strand"):
            yield on_rope | {
                "kind": kind,
                "place": {"window": "lay"},
                "value": str(seed % 3),
                "unit": "1",
            }
        yield on_rope | {"kind": "rouge", "value": "none"}
        yield from _on_groove({"groove": rope}, worn=worn, inches=seed % 4 == 0)


def _on_groove(
    groove: dict[str, Any], *, worn: float, inches: bool
) -> Iterator[dict[str, Any]]:
    for mark in ("A", "B"):
        yield groove | {
            "kind": "rope_crown_height",
            "place": {"mark": mark},
            **_length(2.5 - worn, inches=inches),
        }
    yield groove | {"kind": "bottom_clearance", **_length(3.5 - worn, inches=False)}
    yield groove | {"kind": "seat_runout", **_length(0.1 + worn / 4, inches=False)}
    yield groove | {
        "kind": "rope_crown_step",
        "value": "1/64",
        "unit": "in",
        "note": "by straightedge and feeler",
    }


def _length(value_mm: float, *, inches: bool) -> dict[str, str]:
    if inches:
        return {"value": f"{value_mm / 25.4:.4f}", "unit": "in"}
    return {"value": f"{value_mm:.2f}", "unit": "mm"}
