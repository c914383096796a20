"""What places are called."""

from collections.abc import Mapping

from inspections.reasons.places import Spot

PLACES: Mapping[str, str] = {
    Spot.GROOVE: "groove {number}",
    Spot.ROPE: "rope {number}",
    Spot.FLOOR: "floor {number}",
    Spot.PULLEY: "pulley {number}",
    Spot.CAR_AT_TOP: "car at the top",
    Spot.CAR_AT_MIDDLE: "car at the middle",
    Spot.CAR_AT_BOTTOM: "car at the bottom",
    Spot.COUNTERWEIGHT_AT_TOP: "counterweight at the top",
    Spot.COUNTERWEIGHT_AT_MIDDLE: "counterweight at the middle",
    Spot.COUNTERWEIGHT_AT_BOTTOM: "counterweight at the bottom",
    Spot.CRACK: "crack",
    Spot.RIM_BOLTS: "rim bolts",
    Spot.HUB: "hub",
    Spot.SPOKES: "spokes",
    Spot.KEYWAY: "keyway",
    Spot.BEARING: "bearing",
    Spot.BRAKE_PART: "brake",
    Spot.KEEPER: "keeper",
    Spot.FASTENING: "fastening",
    Spot.GUARDS: "guards",
    Spot.ALIGNMENT: "alignment",
    Spot.TEST_STATIC: "125 % static",
    Spot.TEST_EMPTY_UP: "empty car up",
    Spot.TEST_LOADED_DOWN: "loaded car down",
}
