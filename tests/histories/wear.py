"""What is true of a machine in a history, and what a careful technician reads of it."""

from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import radians, tan
from random import Random

from inspections.engineering import seat_depth
from inspections.engineering.groove import VGroove, bottoming_depth_mm
from inspections.engineering.validity import OutsideValidity
from tests.histories.machines import MOUTH_DEG, Sort
from tests.histories.steps import Row

PARTS = ("crack", "rim bolts", "hub", "bearing", "brake", "keeper", "fastening")
NOISE_MM = 0.02
# Of a new rope in a new groove, above the rim.
CROWN_MM = 3.0


@lru_cache(maxsize=4096)
def band_mm(sunk_mm: float, diameter_mm: float) -> float:
    """Return the width of both bands of the register's V at a depth of the seat."""
    groove = _v()
    low, high = 0.0, 0.45 * diameter_mm
    for _ in range(20):
        middle = (low + high) / 2
        try:
            found = seat_depth.from_seat_band(
                groove=groove,
                left_width_mm=middle,
                right_width_mm=middle,
                rope_diameter_mm=diameter_mm,
                width_sd_mm=0.05,
                diameter_sd_mm=0.02,
            )
        except OutsideValidity:
            high = middle
            continue
        low, high = (middle, high) if found.depth_mm < sunk_mm else (low, middle)
    return low


def bottom_depth_mm(sort: Sort) -> float:
    """Return how deep a groove's bottom lies below the rim, which no wear changes."""
    rope_mm = 1.01 * sort.diameter_mm
    clearance_mm = 4.0 if sort.form == "UNDERCUT" else 0.0
    if sort.form == "V":
        found = bottoming_depth_mm(groove=_v(), rope_diameter_mm=rope_mm)
        clearance_mm = found or 0.0
    return clearance_mm + rope_mm - CROWN_MM


def _v() -> VGroove:
    return VGroove(
        groove_angle_rad=radians(38.0), bottom_width_mm=4.0, hardened_depth_mm=5.0
    )


@dataclass(slots=True, kw_only=True)
class Truth:
    """How far each part is worn, and how fast it wears in a year."""

    sort: Sort
    sunk_mm: list[float] = field(default_factory=list)
    sinking_mm: list[float] = field(default_factory=list)
    lost_mm: list[float] = field(default_factory=list)
    losing_mm: list[float] = field(default_factory=list)
    rim_mm: float = 0.0
    runout_mm: float = 0.5
    rim_marks: str = "ABCD"
    # As registered: what disagrees is drawn.
    car_kg: float = 0.0
    balance: float = 0.0

    def renew_ropes(self, random: Random) -> None:
        self.lost_mm = [0.0] * self.sort.ropes
        rate = 0.004 * self.sort.diameter_mm
        self.losing_mm = [rate * random.uniform(0.3, 1.2) for _ in self.lost_mm]

    def cut_anew(self, random: Random) -> None:
        self.sunk_mm = [0.0] * self.sort.grooves
        rate = random.choice((0.03, 0.1, 0.25))
        self.sinking_mm = [rate * random.uniform(0.9, 1.1) for _ in self.sunk_mm]

    def age(self, years: float) -> None:
        self.sunk_mm = [
            d + r * years for d, r in zip(self.sunk_mm, self.sinking_mm, strict=True)
        ]
        self.lost_mm = [
            d + r * years for d, r in zip(self.lost_mm, self.losing_mm, strict=True)
        ]

    def beds_in(self, row: Row) -> bool:
        """Tell whether a seat holds more as it sinks, which a V never does.

        Up to r·tan(γ/4) the arc of contact grows.
        """
        if row.groove is None or self.sort.form == "V":
            return False
        bedded_mm = self.sort.diameter_mm / 2.0 * tan(radians(MOUTH_DEG) / 4.0)
        return self.sunk_mm[row.groove - 1] < bedded_mm

    def rows(self, random: Random, *, full: bool = True) -> list[Row]:
        """Return the readings of a healthy visit; every check is made in a full one."""
        found = [
            *self._seen(random),
            *self._of_ropes(random),
            *self._of_grooves(random),
        ]
        if full:
            found += [*self._tensions(random), *self._rim(random)]
        return [_numbered(row, slot) for slot, row in enumerate(found)]

    def _seen(self, random: Random) -> list[Row]:
        return [
            Row(slot=0, kind="slip_seen", word="no"),
            Row(slot=0, kind="brake_slide_seen", word="no"),
            Row(slot=0, kind="cwt_runby", value=300.0 - random.uniform(0.0, 20.0)),
            Row(
                slot=0,
                kind="levelling_error",
                place=(("floor", "1"),),
                value=random.uniform(-4.0, 4.0),
            ),
            *(
                Row(slot=0, kind="check", place=(("part", part),), word="pass")
                for part in PARTS
            ),
        ]

    def _of_ropes(self, random: Random) -> list[Row]:
        found = []
        for n, lost in enumerate(self.lost_mm, start=1):
            thick = 1.01 * self.sort.diameter_mm - lost
            for direction in ("1", "2"):
                found.append(
                    Row(
                        slot=0,
                        kind="rope_diameter",
                        rope=n,
                        place=(("direction", direction), ("station", "middle")),
                        value=thick + random.uniform(-NOISE_MM, NOISE_MM),
                    )
                )
            total = random.randrange(3)
            for kind, count in (
                ("breaks_total", total),
                ("breaks_worst_strand", min(total, 1)),
                ("breaks_adjacent", 0),
                ("breaks_valley", 0),
            ):
                found.append(
                    Row(
                        slot=0,
                        kind=kind,
                        rope=n,
                        place=(("window", "lay"),),
                        value=float(count),
                        unit="1",
                    )
                )
            found.append(Row(slot=0, kind="rouge", rope=n, word="none"))
        return found

    def _of_grooves(self, random: Random) -> list[Row]:
        found = []
        for n, sunk in enumerate(self.sunk_mm, start=1):
            lost = self.lost_mm[(n - 1) % self.sort.ropes]
            crown = CROWN_MM - sunk - lost / 2
            found.append(
                Row(
                    slot=0,
                    kind="rope_crown_height",
                    groove=n,
                    place=(("mark", "A"),),
                    value=crown + random.uniform(-NOISE_MM, NOISE_MM),
                )
            )
            if self.sort.form == "UNDERCUT":
                found.append(
                    Row(
                        slot=0,
                        kind="bottom_clearance",
                        groove=n,
                        value=4.0 - sunk + random.uniform(-NOISE_MM, NOISE_MM),
                    )
                )
            if self.sort.form == "V":
                wide = band_mm(round(sunk, 2), round(1.01 * self.sort.diameter_mm, 2))
                for flank in ("left", "right"):
                    found.append(
                        Row(
                            slot=0,
                            kind="seat_band_width",
                            groove=n,
                            place=(("flank", flank),),
                            value=max(0.0, wide + random.uniform(-NOISE_MM, NOISE_MM)),
                        )
                    )
        return found

    def _tensions(self, random: Random) -> list[Row]:
        return [
            Row(
                slot=0,
                kind="rope_tension",
                rope=n,
                place=(("car_position", position), ("side", "car")),
                value=3000.0 * random.uniform(0.985, 1.015),
                unit="N",
            )
            for position in ("bottom", "top")
            for n in range(1, self.sort.ropes + 1)
        ]

    def _rim(self, random: Random) -> list[Row]:
        found = [
            Row(
                slot=0,
                kind="rim_thickness",
                place=(("axial_mm", axial), ("mark", mark), ("over", "land")),
                value=self.rim_mm + random.uniform(-0.1, 0.1),
            )
            for axial in (5.0, self.sort.rim_width_mm - 5.0)
            for mark in self.rim_marks
        ]
        found.append(Row(slot=0, kind="underside_runout", value=self.runout_mm))
        found += [
            Row(
                slot=0,
                kind="groove_bottom_depth",
                groove=n,
                value=bottom_depth_mm(self.sort),
            )
            for n in range(1, self.sort.grooves + 1)
        ]
        return found


def _numbered(row: Row, slot: int) -> Row:
    return replace(row, slot=slot)


def marks(sort: Sort, random: Random) -> list[Row]:
    """Return rope marks read twice after round trips, as creep alone moves them."""
    return [
        Row(
            slot=0,
            kind="rope_mark_offset",
            rope=n,
            place=(
                ("frame_mark", "kept"),
                ("load", "empty"),
                ("round_trips", str(trip)),
                ("travel", "round trip"),
            ),
            value=random.uniform(-2.0, 3.0) * trip,
        )
        for n in range(1, sort.ropes + 1)
        for trip in (1, 2, 3)
    ]
