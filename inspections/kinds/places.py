"""Where on its subject a reading is taken: keys and the values they take."""

MARKS = ("A", "B", "C", "D")

# Place key -> the values it takes; an empty tuple: a number in millimetres or text.
PLACE_VALUES: dict[str, tuple[str, ...]] = {
    "mark": MARKS,
    "flank": ("left", "right"),
    "direction": ("1", "2"),
    "station": (),
    "window": ("lay", "6d", "30d"),
    "side": ("car", "counterweight"),
    "car_position": ("top", "middle", "bottom"),
    "last_direction": ("up", "down"),
    "load": ("empty", "balanced", "rated", "125 %"),
    "axial_mm": (),
    "over": ("land", "slot"),
    "web_side": ("left", "right"),
    "travel": ("one way", "round trip"),
    "round_trips": (),
    "floor": (),
    "part": (
        "crack",
        "rim bolts",
        "hub",
        "spokes",
        "keyway",
        "bearing",
        "brake",
        "keeper",
        "fastening",
        "guards",
        "alignment",
    ),
    "fit": ("go", "tight", "loose"),
    "method": (),
    "frame_mark": ("kept", "moved"),
}
