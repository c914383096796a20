"""The ropes as built: their safety factor, D/d, and the pressure in the groove."""

from collections.abc import Iterator
from math import isclose

from inspections.assessment import basis
from inspections.worked import formula
from inspections.worked.families import forces
from inspections.worked.records import Line, Number, WorkedLines
from inspections.worked.told import Told, of_rules, worked

_EN = "10**(2.6834-lg(695.85e6*N/R**8.567)/lg(77.09*R**-2.894))"


def safety(told: Told) -> list[WorkedLines]:
    """Return the safety factor there is, and the one that is required."""
    load, asked = told.detail.get("load"), told.detail.get("asked")
    if not load or not asked or told.value is None:
        return []
    has = WorkedLines(name="value", lines=(*_weight(told, load), _actual(told, load)))
    required = tuple(_required(told, asked))
    return [has, WorkedLines(name="limit", lines=required)] if required else [has]


def _actual(told: Told, load: dict[str, float]) -> Line:
    return Line(
        symbol="S",
        name="safety_factor",
        value=told.value or 0.0,
        formula="n*i*F/W",
        numbers=(
            told.registered("n", "ropes", load["ropes"]),
            told.registered("i", "roping", load["roping_ratio"]),
            told.registered("F", "breaking_force_n", load["breaking_force_n"], "N"),
            worked("W", "suspended_load_n", load["suspended_load_n"], "N"),
        ),
    )


def _weight(told: Told, load: dict[str, float]) -> Iterator[Line]:
    found = basis.from_shared(told.shared)
    hung = found.carried if found else None
    if hung is None:
        return
    text, numbers = forces.car_side(told, hung, hung.rated_load_kg, 0.0, 0.0)
    if hung.roping != 1:
        text = f"i*({text})"
    given = {each.symbol: each.value for each in numbers}
    weight = load["suspended_load_n"]
    if isclose(formula.evaluate(text, given), weight, rel_tol=1e-9):
        yield Line(
            symbol="W",
            name="suspended_load_n",
            value=weight,
            unit="N",
            formula=text,
            numbers=numbers,
        )


def _required(told: Told, asked: dict[str, float]) -> Iterator[Line]:
    """Yield what is required: by pulleys and D/d, or by the speed of the ropes."""
    pulleys, ratio = asked.get("equivalent_pulleys"), asked["diameter_ratio"]
    if pulleys is None or told.limit is None:
        return
    numbers = (
        worked("N", "equivalent_pulleys", pulleys),
        worked("R", "diameter_ratio", ratio),
    )
    computed = formula.evaluate(_EN, {"N": pulleys, "R": ratio})
    yield Line(
        symbol="S_f",
        name="safety_factor_computed",
        value=computed,
        formula=_EN,
        numbers=numbers,
    )
    if isclose(computed, told.limit, rel_tol=1e-9):
        return
    yield Line(
        symbol="L",
        name="limit",
        value=told.limit,
        formula="max(S_f, S_0)",
        numbers=(
            worked("S_f", "safety_factor_computed", computed),
            of_rules("S_0", "safety_factor_least", told.limit),
        ),
    )


def ratio(told: Told) -> list[WorkedLines]:
    """Return D/d."""
    given = told.detail
    if told.value is None or "sheave_diameter_mm" not in given:
        return []
    return [
        one_line(
            told,
            name="diameter_ratio",
            formula_="D/d",
            numbers=(
                told.registered(
                    "D", "pitch_diameter_mm", given["sheave_diameter_mm"], "mm"
                ),
                told.registered(
                    "d", "nominal_diameter_mm", given["rope_diameter_mm"], "mm"
                ),
            ),
        )
    ]


def pressure(told: Told) -> list[WorkedLines]:
    """Return the pressure as new, and what the old limit allowed."""
    given, found = told.detail, basis.from_shared(told.shared)
    if told.value is None or found is None or found.groove is None:
        return []
    speed = given["rope_speed_m_s"]
    value = one_line(
        told,
        name="pressure",
        formula_="K*T/(d*D)",
        numbers=(
            worked("K", "pressure_factor", found.groove.standard_pressure()),
            worked("T", "rope_force_n", given["rope_force_n"], "N"),
            told.registered(
                "d", "nominal_diameter_mm", given["rope_diameter_mm"], "mm"
            ),
            told.registered(
                "D", "pitch_diameter_mm", given["sheave_diameter_mm"], "mm"
            ),
        ),
    )
    if told.limit is None:
        return [value]
    limit = Line(
        symbol="L",
        name="limit",
        value=told.limit,
        unit=told.unit,
        formula="(12.5+4*v)/(1+v)",
        numbers=(told.registered("v", "rope_speed_m_s", speed, "m/s"),),
    )
    return [value, WorkedLines(name="limit", lines=(limit,))]


def one_line(
    told: Told, *, name: str, formula_: str, numbers: tuple[Number, ...]
) -> WorkedLines:
    """Return the finding's value as one formula."""
    return WorkedLines(
        name="value",
        lines=(
            Line(
                symbol="x",
                name=name,
                value=told.value or 0.0,
                unit=told.unit,
                formula=formula_,
                numbers=numbers,
            ),
        ),
    )
