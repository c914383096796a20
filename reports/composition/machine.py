"""One machine's pages: what it is, what was found, where it is heading."""

from datetime import date

from fleet.choices import GrooveForm
from fleet.models import SheaveGeometry
from inspections import condition
from inspections.models import Finding, Forecast, Grade, Reading
from reports import content
from reports.composition import curves, findings, groove_figure, set_figures, words
from reports.composition.reader import Reader
from reports.queries import MachineFacts

MOST_CURVES = 3


def pages(facts: MachineFacts, *, reader: Reader, today: date) -> content.MachinePages:
    """Return everything the report says of one machine."""
    machine = facts.machine
    labels, table = readings_table(facts, reader=reader)
    grade = grade_of(facts, today=today)
    section = groove_figure.groove_section(facts.snapshot, reader=reader)
    return content.MachinePages(
        code=machine.code,
        name=machine.name,
        place=machine.building.name,
        grade=content.Grade(grade),
        summary=summary(facts, reader=reader),
        description=_description(facts, reader=reader),
        findings=findings.listed(facts.findings, reader=reader, labels=labels),
        groove_sections=(section,) if section else (),
        wear_curves=_curves(facts, reader=reader, today=today),
        rim=set_figures.rim_section(facts.findings, reader=reader),
        tensions=set_figures.tension_bars(facts.findings, reader=reader),
        rope_table=_rope_table(facts, reader=reader),
        not_assessed=findings.not_assessed(facts.findings),
        readings=table,
    )


def urgent(facts: MachineFacts) -> list[Finding]:
    """Return the findings that ask for something, most urgent first."""
    asking = [f for f in facts.findings if f.grade in (Grade.ACT_NOW, Grade.PLAN_WORK)]
    return sorted(asking, key=lambda f: (findings.ORDER[Grade(f.grade)], f.pk))


def first_limit(facts: MachineFacts) -> Forecast | None:
    """Return the forecast whose planning date comes first."""
    return condition.first_limit(facts.forecasts)


def grade_of(facts: MachineFacts, *, today: date) -> str:
    """Return the machine's grade by findings and forecasts."""
    return condition.grade_of(
        assessment=facts.assessment, forecasts=facts.forecasts, today=today
    )


def summary(facts: MachineFacts, *, reader: Reader) -> str:
    """Return the machine in a few plain sentences."""
    found = urgent(facts)
    checks = len(facts.findings)
    made = sum(f.grade != Grade.NOT_ASSESSED for f in facts.findings)
    parts = []
    if found:
        topics = list(dict.fromkeys(words.topic(f.topic).what for f in found))
        parts.append(f"To be decided: {'; '.join(topics).lower()}.")
        parts.append(words.meaning(found[0]))
        if any(f.stops_service for f in found):
            parts.append(findings.STOP)
    elif made:
        parts.append("No reading passed a limit of the criteria set.")
    else:
        parts.append("Too little is known of this machine to assess it.")
    first = first_limit(facts)
    if first is not None and first.p10_on is not None:
        where = f" ({first.place})" if first.place else ""
        parts.append(
            f"First limit ahead: {words.CASES.get(first.limit_reason, 'wear')}{where}; "
            f"about 1 chance in 10 that it comes before {reader.day(first.p10_on)}."
        )
    parts.append(f"{made} of {checks} checks were made.")
    return " ".join(parts)


def _description(facts: MachineFacts, *, reader: Reader) -> tuple[content.Row, ...]:
    machine, snapshot = facts.machine, facts.snapshot
    geometry, ropes = snapshot.geometry, snapshot.rope_set
    drive = (
        f"{machine.get_drive_kind_display()}, {machine.roping_ratio}:1, "
        f"{machine.get_wrap_display()}"
    )
    if machine.wrap_angle_deg:
        drive += f" of {machine.wrap_angle_deg:g}°"
    rows = [("Drive", drive)]
    load = [
        reader.mass(machine.rated_load_kg) if machine.rated_load_kg else "not known",
        reader.speed(machine.rated_speed_m_s)
        if machine.rated_speed_m_s
        else "not known",
    ]
    rows.append(("Rated load, speed", ", ".join(load)))
    if snapshot.sheave is not None:
        new = snapshot.sheave.pitch_diameter_new_mm
        text = reader.length(new, digits=0) + " as new" if new else "not known"
        cut = geometry.pitch_diameter_mm if geometry else None
        if cut and cut != new:
            text += f", {reader.length(cut, digits=1)} as cut"
        material = snapshot.sheave.material
        rows.append(("Sheave", f"{material}, {text}" if material else text))
    if geometry is not None:
        rows.append(("Groove", _groove(geometry, count=len(snapshot.grooves))))
    if ropes is not None:
        diameter = reader.length(ropes.nominal_diameter_mm, digits=1)
        rows.append(
            (
                "Ropes",
                f"{ropes.ropes_count} × {diameter}, {ropes.strand_class or 'class?'} "
                f"{ropes.get_core_display()}, fitted {reader.day(ropes.fitted_on)}",
            )
        )
    if snapshot.readings:
        last = max(r.taken_at for r in snapshot.readings)
        rows.append(("Last reading", reader.day(last)))
    if machine.trips_per_day:
        rows.append(("Trips a day", f"about {machine.trips_per_day:g}"))
    return tuple(content.Row(label=label, value=value) for label, value in rows)


def _groove(geometry: SheaveGeometry, *, count: int) -> str:
    """Return a groove's form in words."""
    if geometry.form == GrooveForm.V:
        text = f"V of {geometry.groove_angle_deg or 0:g}°"
    elif geometry.form == GrooveForm.UNDERCUT:
        text = f"undercut {geometry.undercut_angle_deg or 0:g}°"
        if geometry.groove_angle_deg:
            text += f", mouth {geometry.groove_angle_deg:g}°"
    else:
        text = "round"
    if geometry.hardened_depth_mm:
        text += ", hardened"
    return f"{text}, {count} grooves"


def _curves(
    facts: MachineFacts, *, reader: Reader, today: date
) -> tuple[content.WearCurve, ...]:
    """Return each worn quantity's curve, where its limit is met first."""
    forecasts = {(f.quantity, f.place): f for f in facts.forecasts}
    events = tuple(
        (work.done_on, f"{work.get_kind_display()}") for work in facts.snapshot.works
    )
    best: dict[str, tuple[date, content.WearCurve]] = {}
    for series in facts.series:
        forecast = forecasts.get((series.quantity, series.place))
        drawn = curves.curve(
            series, forecast, reader=reader, today=today, events=events
        )
        if drawn is None:
            continue
        due = (forecast.plan_before_on if forecast else None) or date.max
        if series.quantity not in best or due < best[series.quantity][0]:
            best[series.quantity] = (due, drawn)
    return tuple(drawn for _, drawn in best.values())[:MOST_CURVES]


def _rope_table(facts: MachineFacts, *, reader: Reader) -> content.Table | None:
    """Return what was last read of each rope."""
    ropes = facts.snapshot.ropes
    if not ropes:
        return None

    def last(kind: str, rope_id: int) -> Reading | None:
        return facts.snapshot.latest(kind, rope_id=rope_id)

    rows = []
    for rope in ropes:
        diameter, breaks = last("rope_diameter", rope.pk), last("breaks_total", rope.pk)
        rouge = last("rouge", rope.pk)
        rows.append(
            (
                str(rope.number),
                reader.length(diameter.value)
                if diameter and diameter.value is not None
                else "not read",
                f"{breaks.value:.0f}"
                if breaks and breaks.value is not None
                else "not counted",
                rouge.word if rouge else "not seen",
            )
        )
    return content.Table(
        title="Rope set",
        columns=(
            content.Column(heading="Rope", share=0.6),
            content.Column(heading="Diameter, last reading", align=content.Align.RIGHT),
            content.Column(heading="Broken wires", align=content.Align.RIGHT),
            content.Column(heading="Rouge"),
        ),
        rows=tuple(rows),
    )


def readings_table(
    facts: MachineFacts, *, reader: Reader
) -> tuple[dict[int, str], content.Table | None]:
    """Return labels of the readings behind the findings, and their table."""
    used = sorted({pk for f in facts.findings for pk in f.readings})
    found = [facts.readings[pk] for pk in used if pk in facts.readings]
    labels = {reading.pk: f"R{n}" for n, reading in enumerate(found, start=1)}
    if not found:
        return labels, None
    rows = tuple(
        (
            labels[reading.pk],
            reading.kind.replace("_", " "),
            _place(reading),
            f"{reading.typed_value} {reading.typed_unit}".rstrip(),
            reader.day(reading.taken_at),
            reading.get_state_display() if reading.state != "STORED" else "",
        )
        for reading in found
    )
    return labels, content.Table(
        title=f"{facts.machine.code}  {facts.machine.name}",
        columns=(
            content.Column(heading="No.", share=0.5),
            content.Column(heading="What", share=1.5),
            content.Column(heading="Where", share=1.9),
            content.Column(heading="As read", align=content.Align.RIGHT, share=0.9),
            content.Column(heading="Taken", share=1.0),
            content.Column(heading="Remark", share=1.0),
        ),
        rows=rows,
    )


def _place(reading: Reading) -> str:
    parts: list[str] = []
    if reading.groove is not None:
        parts.append(f"groove {reading.groove.number}")
    if reading.rope is not None:
        parts.append(f"rope {reading.rope.number}")
    parts += [
        f"{key.replace('_', ' ')} {value}" for key, value in reading.place.items()
    ]
    return ", ".join(parts) or "machine"
