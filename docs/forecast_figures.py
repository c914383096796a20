"""Draw the two figures of docs/forecasting.md: ``python -m docs.forecast_figures``.

Both come from the model itself, with readings made up here.
"""

from pathlib import Path

import numpy as np

from inspections.projection import courses, forecasting, hyper, series
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.limits import Limits

FOLDER = Path(__file__).parent / "images"
LIMIT_MM, GAUGE_MM = 1.8, 0.08
WIDTH, HEIGHT, LEFT, BOTTOM = 640, 300, 52, 40
INK, BAND, ACCENT, STRAY = "#222", "#cfe0ee", "#1f5f99", "#b3261e"
READ = ((1.0, 0.21), (2.1, 0.29), (3.0, 0.52), (3.9, 1.35), (5.0, 0.74), (6.2, 0.97))


class Canvas:
    """Axes from 0, and lines given in their values, as SVG."""

    def __init__(self, *, across: float, up: float, title: str, x: str, y: str) -> None:
        self.across, self.up = across, up
        self.parts = [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
            f'role="img" font-family="sans-serif" font-size="12"><title>{title}</title>'
            f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>'
        ]
        self.x, self.y = x, y

    def at(self, x: float, y: float) -> tuple[float, float]:
        right, top = WIDTH - LEFT - 16, HEIGHT - BOTTOM - 16
        return LEFT + x / self.across * right, HEIGHT - BOTTOM - y / self.up * top

    def line(self, points: object, style: str) -> None:
        text = " ".join("{:.1f},{:.1f}".format(*self.at(x, y)) for x, y in points)
        self.parts.append(f'<polyline points="{text}" fill="none" {style}/>')

    def area(self, points: object, fill: str) -> None:
        text = " ".join("{:.1f},{:.1f}".format(*self.at(x, y)) for x, y in points)
        self.parts.append(f'<polygon points="{text}" fill="{fill}"/>')

    def dot(self, x: float, y: float, colour: str) -> None:
        a, b = self.at(x, y)
        self.parts.append(f'<circle cx="{a:.1f}" cy="{b:.1f}" r="4" fill="{colour}"/>')

    def word(self, x: float, y: float, text: str, anchor: str = "start") -> None:
        a, b = self.at(x, y)
        self.parts.append(
            f'<text x="{a:.1f}" y="{b:.1f}" fill="{INK}" text-anchor="{anchor}">'
            f"{text}</text>"
        )

    def save(self, name: str, *, ticks_x: object, ticks_y: object) -> None:
        ink = f'stroke="{INK}" stroke-width="1"'
        self.line([(0, self.up), (0, 0), (self.across, 0)], ink)
        for tick in ticks_x:
            a, b = self.at(tick, 0)
            self.parts.append(
                f'<text x="{a:.1f}" y="{b + 16:.1f}" text-anchor="middle">'
                f"{tick:g}</text>"
            )
        for tick in ticks_y:
            a, b = self.at(0, tick)
            self.parts.append(
                f'<text x="{a - 6:.1f}" y="{b + 4:.1f}" text-anchor="end">'
                f"{tick:g}</text>"
            )
        self.parts.append(
            f'<text x="{WIDTH / 2}" y="{HEIGHT - 6}" text-anchor="middle">'
            f"{self.x}</text>"
            f'<text x="14" y="{HEIGHT / 2}" text-anchor="middle" '
            f'transform="rotate(-90 14 {HEIGHT / 2})">{self.y}</text></svg>\n'
        )
        (FOLDER / name).write_text("\n".join(self.parts), encoding="utf-8")


def fleet(read: tuple[tuple[float, float], ...]) -> dict:
    """Return one known installation with these readings, as ``forecast`` takes it."""
    times, levels = (np.array(column) for column in zip((0.0, 0.0), *read, strict=True))
    first = np.arange(times.size) == 0
    found = series.arrange(
        series=np.zeros(times.size, dtype=int),
        clock=times,
        level_mm=levels,
        noise_mm=np.where(first, 0.05, GAUGE_MM),
        installation=first,
        series_count=1,
    )
    one = np.zeros(1, dtype=int)
    return {
        "readings": found.readings,
        "hierarchy": Hierarchy(
            epoch_of_series=one, machine_of_epoch=one, class_of_machine=one
        ),
        "known_installation": np.ones(1, dtype=bool),
        "hyper": hyper.starting(rate_per_clock=np.array([0.12])),
    }


def course() -> None:
    """Draw readings, one of them a stray, the band ahead, the limit and its dates."""
    given, last = fleet(READ), READ[-1][0]
    limits = Limits(limit_mm=np.array([LIMIT_MM]), limit_sd_mm=np.array([0.1]))
    answer = forecasting.forecast(**given, limits=limits, horizon_years=np.ones(1))
    _, p10, p50, p90 = last + answer.quantiles_years[:, 0]
    ahead = np.linspace(0.0, 13.0, 27)
    band = np.array(
        [
            courses.course(
                **given, limit_mm=limits.limit_mm, ahead=np.array([time])
            ).level_mm[:, 0]
            for time in ahead
        ]
    )
    canvas = Canvas(
        across=last + 13.0,
        up=3.0,
        title="Readings, the band ahead, and the dates at which it reaches the limit",
        x="years since the groove was cut",
        y="seat depth, mm",
    )
    times = last + ahead
    low, middle, high = np.minimum(band, 3.0).T
    edge = [*zip(times, high, strict=True), *zip(times[::-1], low[::-1], strict=True)]
    canvas.area(edge, BAND)
    canvas.line(zip(times, middle, strict=True), f'stroke="{ACCENT}" stroke-width="2"')
    for level, style in (
        (LIMIT_MM, "6 3"),
        (LIMIT_MM - 0.1, "2 3"),
        (LIMIT_MM + 0.1, "2 3"),
    ):
        canvas.line(
            [(0, level), (canvas.across, level)],
            f'stroke="{INK}" stroke-dasharray="{style}"',
        )
    canvas.word(0.2, LIMIT_MM + 0.15, "limit, give or take its own deviation")
    for years, name in ((p10, "P10"), (p50, "P50"), (p90, "P90")):
        canvas.line(
            [(years, 0), (years, LIMIT_MM)], f'stroke="{ACCENT}" stroke-width="1"'
        )
        canvas.word(years, 0.06, f" {name}")
    flagged = answer.flagged[1:]
    for (time, level), stray in zip(READ, flagged.tolist(), strict=True):
        canvas.dot(time, level, STRAY if stray else INK)
        if stray:
            canvas.word(time + 0.2, level, "measure again")
    canvas.save(
        "forecast-course.svg",
        ticks_x=range(0, 20, 2),
        ticks_y=(0, 0.5, 1, 1.5, 2, 2.5, 3),
    )


def borrowing() -> None:
    """Draw how the band of one groove narrows as its readings come in."""
    canvas = Canvas(
        across=6.9,
        up=34.0,
        title="P10, P50 and P90 of the years left, by number of readings",
        x="readings of the groove itself (an only groove of its class)",
        y="years from now to the limit",
    )
    clean = [row for row in READ if row[1] != 1.35]
    for count in range(len(clean) + 1):
        given = fleet(tuple(clean[:count]))
        answer = forecasting.forecast(
            **given,
            limits=Limits(limit_mm=np.array([LIMIT_MM]), limit_sd_mm=np.array([0.1])),
            horizon_years=np.ones(1),
        )
        _, p10, p50, p90 = np.clip(answer.quantiles_years[:, 0], 0.0, 34.0)
        at = count + 0.5
        canvas.line([(at, p10), (at, p90)], f'stroke="{BAND}" stroke-width="22"')
        canvas.dot(at, float(p50), ACCENT)
        canvas.word(at + 0.22, float(p90), f"{p90:.0f}" if p90 < 34.0 else "more")
        canvas.word(at + 0.22, float(p10), f"{p10:.0f}")
        canvas.word(at, -2.1, f"{count}", "middle")
    canvas.save("forecast-borrowing.svg", ticks_x=(), ticks_y=range(0, 35, 5))


if __name__ == "__main__":
    course()
    borrowing()
