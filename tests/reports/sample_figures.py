"""Invented figures for the tests of drawing: sections with believable measures."""

from datetime import date
from math import pi, radians

from inspections.engineering.groove.profile import round_profile, v_profile
from reports import content
from reports.figures import outlines

SCALE_BAR = content.ScaleBar(length_mm=5.0, label="5 mm")
FIRST_DAY = date(2021, 1, 1)


def day(moment: date) -> float:
    """Return the position of a day on the sample's time axes."""
    return float((moment - FIRST_DAY).days)


def time_axis(*, last: date = date(2030, 1, 1)) -> content.ChartAxis:
    """Return an axis in years."""
    years = content.axes.year_starts(first=FIRST_DAY, last=last, at_most=10)
    ticks = tuple(content.AxisTick(position=day(y), label=str(y.year)) for y in years)
    return content.ChartAxis(label="", low=0.0, high=day(last), ticks=ticks)


def value_axis(*, label: str, high: float) -> content.ChartAxis:
    """Return an axis in mm from zero."""
    places = content.axes.nice_positions(low=0.0, high=high)
    ticks = tuple(content.AxisTick(position=p, label=f"{p:g}") for p in places)
    return content.ChartAxis(label=label, low=0.0, high=high, ticks=ticks)


def undercut_section() -> content.GrooveSection:
    """Return an undercut groove whose rope has almost reached the slot's bottom."""
    worn, clearance = 2.8, 0.4
    shape = round_profile(
        seat_radius_mm=6.5,
        seat_depth_mm=9.5,
        groove_angle_rad=radians(30),
        undercut_angle_rad=radians(95),
        slot_depth_mm=worn + clearance,
    )
    centre = (0.0, shape.seat_centre_mm - worn)
    rope_bottom = centre[1] - 6.5
    edge, mouth = radians(47.5), radians(90)
    arcs = tuple(
        outlines.arc(
            centre=centre, radius_mm=6.5, start_rad=side * edge, end_rad=side * mouth
        )
        for side in (-1.0, 1.0)
    )
    return content.GrooveSection(
        title="Groove 3, mark B",
        new_outline=outlines.outline(shape=shape, half_width_mm=10.5),
        worn_outline=outlines.outline(
            shape=shape, half_width_mm=10.5, rope_radius_mm=6.5, seat_depth_mm=worn
        ),
        metal_floor_mm=-18.0,
        rope_centre=centre,
        rope_diameter_mm=13.0,
        rope_label="13.0 mm",
        contact_arcs=arcs,
        dimensions=(
            content.Dimension(
                start=(8.6, 0.0),
                end=(8.6, rope_bottom + 13.0),
                label="rope crown 0.7 mm above the rim",
            ),
            content.Dimension(
                start=(6.9, shape.seat_centre_mm),
                end=(6.9, centre[1]),
                label="seat worn 2.8 mm deep",
            ),
            content.Dimension(
                start=(1.5, rope_bottom),
                end=(1.5, rope_bottom - clearance),
                label="clearance to the slot's bottom 0.4 mm",
            ),
        ),
        scale_bar=SCALE_BAR,
        caption="Worn outline calculated from the rope crown read on 12 Nov 2026; "
        "the rope is drawn as a circle of its measured diameter.",
        description="Undercut groove, rope 0.4 mm above the bottom of the slot.",
    )


def v_section() -> content.GrooveSection:
    """Return a V groove with seats worn into both flanks."""
    worn, angle = 1.9, radians(38)
    shape = v_profile(groove_angle_rad=angle, apex_depth_mm=23.4, rope_radius_mm=6.5)
    centre = (0.0, shape.seat_centre_mm - worn)
    return content.GrooveSection(
        title="Groove 1, mark A",
        new_outline=outlines.outline(shape=shape, half_width_mm=10.5),
        worn_outline=outlines.outline(
            shape=shape, half_width_mm=10.5, rope_radius_mm=6.5, seat_depth_mm=worn
        ),
        metal_floor_mm=-26.0,
        rope_centre=centre,
        rope_diameter_mm=13.0,
        rope_label="13.0 mm",
        contact_arcs=tuple(
            outlines.arc(
                centre=centre,
                radius_mm=6.5,
                start_rad=side * radians(49),
                end_rad=side * pi / 2,
            )
            for side in (-1.0, 1.0)
        ),
        dimensions=(
            content.Dimension(
                start=(7.6, shape.seat_centre_mm),
                end=(7.6, centre[1]),
                label="seat worn 1.9 mm deep",
            ),
            content.Dimension(
                start=(0.0, centre[1] - 6.5),
                end=(0.0, -23.4),
                label="to the apex 11.6 mm",
            ),
        ),
        scale_bar=SCALE_BAR,
        caption="Worn outline calculated from the seat band read on 12 Nov 2026.",
        description="V groove of 38 degrees with a seat 1.9 mm deep.",
    )


def clearance_curve() -> content.WearCurve:
    """Return a clearance that shrinks towards its limit, with readings."""
    days = [day(date(2021 + half // 2, 1 + 6 * (half % 2), 15)) for half in range(12)]
    noise = (0.05, -0.08, 0.02, 0.11, -0.04, -0.1, 0.06, 0.0, -0.07, 0.09, -0.02, 0.03)
    now = day(date(2026, 11, 24))
    readings = tuple(
        content.CurveReading(x=x, y=3.2 - 0.00129 * x + off, uncertainty=0.15)
        for x, off in zip(days, noise, strict=True)
    )
    ahead = [now + step * 60.0 for step in range(20)]
    forecast = tuple(
        content.ForecastPoint(
            x=x,
            p10=max(0.0, 0.42 - 0.12 - 0.0018 * (x - now)),
            p50=max(0.0, 0.42 - 0.00129 * (x - now)),
            p90=max(0.0, 0.42 + 0.12 - 0.0008 * (x - now)),
        )
        for x in ahead
    )
    return content.WearCurve(
        title="Groove 3, mark B: clearance under the rope",
        time_axis=time_axis(),
        value_axis=value_axis(label="Clearance to the bottom of the slot [mm]", high=4),
        readings=readings,
        limit=content.LimitLine(value=0.5, low=0.35, high=0.65, label="limit 0.5 mm"),
        forecast=forecast,
        today=content.AxisTick(position=now, label="24 Nov 2026"),
        crossing=(),
        events=(
            content.AxisTick(
                position=day(date(2023, 5, 2)), label="re-roped 2 May 2023"
            ),
        ),
        outlook="The limit has been reached.",
        caption="Readings of one groove at one mark; k = 1.",
        description="Clearance falls from 3.2 mm in 2021 to 0.4 mm in 2026.",
    )


def seat_curve() -> content.WearCurve:
    """Return a seat depth that grows towards an uncertain limit."""
    now = day(date(2026, 11, 24))
    xs = [day(date(2022 + n // 2, 3 + 6 * (n % 2), 10)) for n in range(10)]
    readings = tuple(
        content.CurveReading(x=x, y=0.2 + 0.00085 * x, uncertainty=0.12) for x in xs
    )
    forecast = tuple(
        content.ForecastPoint(
            x=now + step * 60.0,
            p10=1.98 + 0.0007 * step * 60 - 0.1,
            p50=1.98 + 0.00085 * step * 60,
            p90=1.98 + 0.0011 * step * 60 + 0.1,
        )
        for step in range(20)
    )
    return content.WearCurve(
        title="Groove 1, mark A: depth of the seat",
        time_axis=time_axis(),
        value_axis=value_axis(label="Seat depth [mm]", high=4.0),
        readings=readings,
        limit=content.LimitLine(
            value=2.74, low=2.31, high=3.17, label="calculation closes up to 2.74 mm"
        ),
        forecast=forecast,
        today=content.AxisTick(position=now, label="24 Nov 2026"),
        crossing=(
            content.AxisTick(position=now + 500, label="early: Apr 2028"),
            content.AxisTick(position=now + 860, label="middle: Apr 2029"),
            content.AxisTick(position=now + 1110, label="late: Dec 2029"),
        ),
        events=(),
        outlook="About 1 chance in 10 that it comes before April 2028; no permission "
        "to run until then.",
        caption="The limit rests on masses taken from the plate, not weighed.",
        description="Seat depth grows from 0.6 mm in 2022 to 2.0 mm in 2026.",
    )


def rim() -> content.RimSection:
    """Return a tapered rim with five grooves."""
    pitch, grooves = 19.0, 5
    shape = round_profile(
        seat_radius_mm=6.5,
        seat_depth_mm=9.5,
        groove_angle_rad=radians(30),
        undercut_angle_rad=radians(95),
        slot_depth_mm=3.2,
    )
    one = outlines.outline(shape=shape, half_width_mm=pitch / 2, step_mm=0.25)
    top = [(x + pitch * n, y) for n in range(grooves) for x, y in one]
    left, right = -pitch / 2 - 5, pitch * (grooves - 0.5) + 5
    under = [(right, -30.0), (left, -24.5)]
    metal = ((left, 0.0), *top, (right, 0.0), *under)
    thick = ((left, -26.3), (right, -31.8))
    floors = [-24.5 - 5.5 * (pitch * n - left) / (right - left) for n in range(grooves)]
    return content.RimSection(
        title="Rim at mark C, where it is thinnest",
        metal=tuple(metal),
        thickest_underside=thick,
        after_cut=((left, -4.4), (right, -4.4)),
        thicknesses=tuple(
            content.MetalUnderGroove(
                label=f"groove {n + 1}",
                top=(pitch * n, -12.7),
                bottom=(pitch * n, floor),
                value=f"{-12.7 - floor:.1f} mm",
                after_cut=f"{-12.7 - floor - 4.4:.1f} mm",
                is_thinnest=n == 0,
            )
            for n, floor in enumerate(floors)
        ),
        limit_label="Least metal the maker allows: not recorded.",
        scale_bar=content.ScaleBar(length_mm=20.0, label="20 mm"),
        caption="Underside as cast: it tapers by 5.5 mm across the rim.",
        description="Metal under five grooves, thinnest 12.9 mm under groove 1.",
    )


def tensions() -> content.TensionBars:
    """Return five ropes, one of them far too tight."""
    values = (4.6, 4.4, 5.9, 4.5, 4.3)
    return content.TensionBars(
        title="Rope tensions, car at mid-travel, after a run down",
        axis=value_axis(label="Tension [kN]", high=7.0),
        bars=tuple(
            content.TensionBar(label=f"Rope {n}", value=v, value_label=f"{v} kN")
            for n, v in enumerate(values, start=1)
        ),
        mean=content.AxisTick(position=4.74, label="mean 4.74 kN"),
        allowed_low=content.AxisTick(position=4.5, label="-5 %"),
        allowed_high=content.AxisTick(position=4.98, label="+5 %"),
        caption="Rope 3 carries 24 % more than the mean.",
        description="Five ropes between 4.3 and 5.9 kN.",
    )
