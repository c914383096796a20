"""The upload's body as JSON Schema, from the same lists that read it."""

from typing import Any

from fleet.platform.units import QUANTITIES
from fleet.register.choices import WorkKind
from inspections.kinds import KINDS, NUMBERS, PLACE_VALUES
from inspections.models import VisitKind

_REFERENCE = {
    "type": "string",
    "pattern": "^[A-Za-z0-9][A-Za-z0-9._:-]{0,63}$",
    "description": "Made by the sender, unique for ever: what makes a repeat safe.",
}
_MOMENT = {
    "type": "string",
    "format": "date-time",
    "description": "With its offset; a time without one is refused.",
}
_UNITS = sorted({unit for quantity in QUANTITIES.values() for unit in quantity.units})
_WORDS = sorted({word for kind in KINDS.values() for word in kind.words})


def _place_value(key: str, values: tuple[str, ...]) -> dict[str, Any]:
    if values:
        return {"type": "string", "enum": list(values)}
    if key in NUMBERS:
        least, greatest, _ = NUMBERS[key]
        return {"type": "number", "minimum": least, "maximum": greatest}
    return {"type": "string", "minLength": 1, "maxLength": 40}


READING = {
    "type": "object",
    "additionalProperties": False,
    "required": ["reference", "kind", "value"],
    "properties": {
        "reference": _REFERENCE,
        "kind": {"type": "string", "enum": sorted(KINDS)},
        "groove": {"type": ["integer", "null"], "minimum": 1, "maximum": 99},
        "rope": {"type": ["integer", "null"], "minimum": 1, "maximum": 99},
        "place": {
            "type": ["object", "null"],
            "additionalProperties": False,
            "properties": {
                key: _place_value(key, values) for key, values in PLACE_VALUES.items()
            },
        },
        "value": {
            "type": "string",
            "maxLength": 40,
            "description": (
                "As read, in ASCII: 11.8, 29/64 or 1 3/16; or one of the kind's "
                f"words: {', '.join(_WORDS)}."
            ),
        },
        "unit": {
            "type": ["string", "null"],
            "description": (
                f"One of {', '.join(_UNITS)}, as the kind asks; never guessed. None "
                "for a word."
            ),
        },
        "taken_at": _MOMENT | {"type": ["string", "null"]},
        "gauge": {"type": ["string", "null"], "maxLength": 50},
        "note": {"type": ["string", "null"], "maxLength": 500},
        "corrects": {
            "type": ["string", "null"],
            "description": "The reference of an older reading; say why in the note.",
        },
        "sequence": {
            "type": ["integer", "null"],
            "minimum": 0,
            "description": "The order in which a phone took its readings.",
        },
        "clock_offset_s": {
            "type": ["number", "null"],
            "description": (
                "Seconds that a phone has added to its own clock for `taken_at`."
            ),
        },
    },
}

VISIT = {
    "type": "object",
    "additionalProperties": False,
    "required": ["reference", "machine", "visited_at", "readings"],
    "properties": {
        "reference": _REFERENCE,
        "machine": {"type": "string", "description": "The machine's code."},
        "kind": {"type": "string", "enum": list(VisitKind.values)},
        "visited_at": _MOMENT,
        "note": {"type": ["string", "null"], "maxLength": 2000},
        "work": {
            "type": ["object", "null"],
            "additionalProperties": False,
            "required": ["kind", "done_on"],
            "properties": {
                "kind": {"type": "string", "enum": list(WorkKind.values)},
                "done_on": {"type": "string", "format": "date"},
            },
            "description": "Of an as-left visit: the registered work it belongs to.",
        },
        "readings": {"type": "array", "items": READING},
    },
}

UPLOAD = {
    "type": "object",
    "additionalProperties": False,
    "required": ["visits"],
    "properties": {
        "sent_at": _MOMENT | {"type": ["string", "null"]},
        "visits": {"type": "array", "items": VISIT},
    },
}
