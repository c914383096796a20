"""A pack of one machine, small, as the server makes it."""

from typing import Any

from fleet.platform import units
from inspections.intake.judge import STOP

CAUTIONS = [
    "Stop the ropes and lock the drive out before anything is touched.",
    "A check that was not made says nothing of the machine.",
]
SHARED: dict[str, Any] = {
    "cautions": CAUTIONS[1:],
    "stop_words": STOP,
    "told_words": "",
    "gauges": [
        {"code": "c-1", "name": "plate calliper", "resolution_mm": 0.01},
        {"code": "t-1", "name": "steel tape", "resolution_mm": None},
    ],
    "absent": [],
}


def factors(quantity: str) -> dict[str, list[str]]:
    """Return what each unit of a quantity is in the canonical one, exactly."""
    return {
        unit: [str(found.numerator), str(found.denominator)]
        for unit in units.QUANTITIES[quantity].units
        for found in [units.factor(quantity=quantity, unit=unit)]
    }


def spot(number: int | None, words: str, last: float | str | None) -> dict[str, Any]:
    """Return one place with what it was last."""
    word = last if isinstance(last, str) else ""
    value = None if isinstance(last, str) else last
    shown = {"value": value, "unit": "mm", "word": word, "on": "2026-05-04"}
    return {
        "number": number,
        "place": {},
        "words": words,
        "last": None if last is None else shown,
        "reasons": [],
        "limit": "",
        "surprising": {"words": "", "at_or_below": None, "at_or_above": None},
    }


def item(kind: str, name: str, **changes: Any) -> dict[str, Any]:
    """Return one kind of reading with its places."""
    return {
        "kind": kind,
        "every": {"limit": ""},
        "name": name,
        "how": "",
        "subject": "machine",
        "number_by": None,
        "places": [],
        "quantity": "length",
        "units": factors("length"),
        "unit": "mm",
        "signed": False,
        "whole": False,
        "above_zero": False,
        "words": [],
        "words_said": {},
        "place_keys": [],
        "bands": [],
        "not_checked": False,
        "gauge": "",
        "decides": "",
        **changes,
    }


def band(end: str, at: float | str, acts: str, words: str) -> dict[str, Any]:
    """Return one end of a band."""
    return {
        "end": end,
        "at": at,
        "acts": acts,
        "words": words,
        "unsafe": acts != "hold",
    }


def _routine() -> list[dict[str, Any]]:
    slip = item(
        "slip_seen",
        "slip seen",
        quantity="",
        units={},
        unit="",
        places=[spot(None, "machine", "no")],
        words=["no", "yes"],
        words_said={"no": "no, not seen", "yes": "yes"},
        bands=[band("equals", "yes", "stop", f"slip seen: yes. {STOP}")],
    )
    diameter = item(
        "rope_diameter",
        "rope diameter",
        how="Two directions at right angles, at the worst place of the free length.",
        number_by="rope",
        subject="rope",
        above_zero=True,
        gauge="plate calliper",
        decides="When the ropes are to be renewed.",
        places=[spot(n, f"rope {n}", 12.9) for n in range(1, 7)],
        bands=[
            band("below", 11.05, "again", "act as if true, measure again now"),
            band("above", 14.04, "hold", "held until someone confirms it"),
        ],
    )
    crown = item(
        "rope_crown_height",
        "rope crown above the rim",
        number_by="groove",
        subject="groove",
        signed=True,
        places=[spot(n, f"groove {n}", 0.4) for n in range(1, 7)],
    )
    brake = item(
        "check",
        "brake",
        quantity="",
        units={},
        unit="",
        places=[{**spot(None, "brake", None), "place": {"part": "brake"}}],
        words=["pass", "defect", "not seen"],
        words_said={
            "pass": "made: no defect seen",
            "defect": "made: defect",
            "not seen": "not made, because",
        },
        bands=[band("equals", "defect", "tell", "brake: defect")],
    )
    return [
        {
            "code": "seen running",
            "words": "seen running",
            "minutes": 2,
            "items": [slip],
        },
        {"code": "diameters", "words": "diameters", "minutes": 5, "items": [diameter]},
        {"code": "crowns", "words": "crowns", "minutes": 5, "items": [crown]},
        {"code": "parts", "words": "parts", "minutes": 5, "items": [brake]},
    ]


def pack(pk: int = 1, code: str = "MH-1") -> dict[str, Any]:
    """Return the pack of one machine."""
    kinds = {
        "ROUTINE": "routine visit",
        "TENSION": "tensions",
        "SLIP_TEST": "slip test",
    }
    visits = [
        {"kind": kind, "words": words, "minutes": 30, "cautions": CAUTIONS, "steps": s}
        for kind, words in kinds.items()
        for s in [_routine() if kind == "ROUTINE" else []]
    ]
    left = {"kind": "AS_LEFT", "words": "as left", "minutes": 10, "cautions": CAUTIONS}
    return {
        "id": pk,
        "code": code,
        "name": "Lift 1",
        "building": "Old mill",
        "plate": f"No. 4711 {code}",
        "cautions": CAUTIONS[:1],
        "stopped": False,
        "stops": [],
        "grooves": [1, 2, 3, 4, 5, 6],
        "ropes": [1, 2, 3, 4, 5, 6],
        "fitted": {"sheave": "2019-01-01", "rope_set": "2024-01-01"},
        "visit_kinds": [*visits, {**left, "steps": _routine()[1:2]}],
        "works": [
            {
                "id": 9,
                "kind": "EQUALISE",
                "words": "set the tensions",
                "due": "2026-12-24",
                "reported_as": "EQUALISING",
                "needs_parts": False,
            }
        ],
    }
