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
    # As numbered in the register; its grooves as those of the sheave.
    "pulley": tuple(str(number) for number in range(1, 13)),
    "pulley_groove": tuple(str(number) for number in range(1, 25)),
    "method": (),
    "frame_mark": ("kept", "moved"),
    "case": ("125 % static", "empty car up", "loaded car down"),
    "load_kg": (),
    "speed_m_s": (),
    "slid_mm": (),
    "stopping_mm": (),
    "free_length_mm": (),
    # Of the rope, between the two ends that throw a wave back.
    "length_m": (),
}

# Place keys that are numbers -> least, greatest and their unit in words.
NUMBERS: dict[str, tuple[float, float, str]] = {
    "axial_mm": (0.0, 5000.0, "millimetres"),
    "load_kg": (0.0, 25_000.0, "kilograms"),
    "speed_m_s": (0.01, 20.0, "metres per second"),
    "slid_mm": (0.0, 5000.0, "millimetres"),
    "stopping_mm": (1.0, 50_000.0, "millimetres"),
    "free_length_mm": (1.0, 1000.0, "millimetres"),
    "length_m": (0.5, 1000.0, "metres"),
}
