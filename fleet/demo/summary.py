"""What was found, in plain words, for someone who sees it for the first time."""

import textwrap
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from fleet.demo.findings import MachineFound

WIDTH = 88
INDENT = " " * 17
MOST_MATTERS = 3
MOST_GAPS = 3
# Nothing found, and nothing to plan before this: no date is shown.
NEAR = timedelta(days=5 * 365)

GRADES = {
    "STOPPED": "OUT OF SERVICE",
    "ACT_NOW": "ACT NOW",
    "PLAN_WORK": "PLAN WORK",
    "NOT_ASSESSED": "NOT KNOWN",
    "KEEP_AN_EYE_ON": "MONITOR",
    "IN_ORDER": "nothing found",
}
ROLES = {
    "OFFICE": "office",
    "TECHNICIAN": "technician",
    "OWNER_READER": "owner's reader",
}
LOOK_AT = {
    "OFFICE": "Today: the machine out of service, what is past its day, a reading to "
    "confirm, reports; then a machine, and a finding opened number by number.",
    "TECHNICIAN": "Portfolio: the machine out of service stands first; its page says "
    "where, since when, and what was not looked at.",
    "OWNER_READER": "Buildings: the own lifts only, each in plain words, and the "
    "reports that were issued.",
}
QUANTITIES = {
    "seat_depth": "how deep the ropes have sunk",
    "diameter_loss": "rope diameter lost",
    "counterweight_runby": "counterweight run-by used up",
    "pulley_groove_spread": "how far the grooves of a pulley differ",
}


def text(
    *,
    found: Sequence[MachineFound],
    people: Sequence[Mapping[str, str]],
    reports: Sequence[Path],
    address: str,
    folder: Path,
    once: bool,
) -> str:
    """Return the summary: machines most urgent first, files, addresses, cautions."""
    parts = [
        "\nWHAT WAS FOUND, most urgent first (everything is invented)\n",
        *(_machine(machine) for machine in found),
        "\nREPORTS, which also say why something was not assessed\n",
        *(f"  {path}" for path in reports),
    ]
    if not once:
        parts += _doors(people, address, folder)
    parts += ["\nCAUTIONS\n", *(_wrapped(c, "  ") for c in _cautions(found)), ""]
    if once:
        parts += [f"Next time it goes on from here; --fresh begins anew. ({folder})"]
    else:
        parts += ["Stop with Ctrl-C. To begin anew: manage.py demo --fresh"]
    return "\n".join(parts)


def _machine(machine: MachineFound) -> str:
    head = f"  {GRADES[machine.grade]:<14} {machine.code}: {machine.name}"
    lines = [_matter(finding) for finding in machine.matters[:MOST_MATTERS]]
    if len(machine.matters) > MOST_MATTERS:
        lines.append(f"and {len(machine.matters) - MOST_MATTERS} more, see the report")
    if machine.forecast is not None and _is_near(machine):
        lines.append(_forecast(machine.forecast, machine.as_of))
    lines += _checks(machine.checks)
    if machine.gaps:
        lines.append(_not_assessed(machine.gaps))
    wrapped = (_wrapped(line, INDENT) for line in lines)
    return "\n".join([f"{head}, {machine.building}", *wrapped])


def _checks(checks: Mapping[str, Any]) -> list[str]:
    """Return how many of the least set of checks were made, and which were not."""
    if not checks:
        return []
    missed = list(
        dict.fromkeys(
            each["check"].replace("_", " ")
            + (f" (last on {each['last_on']})" if each["last_on"] else "")
            for each in checks["missed"]
        )
    )
    made = f"checks made: {checks['made']} of {checks['of']}"
    if not missed:
        return [made]
    more = f" and {len(missed) - MOST_GAPS} more" if len(missed) > MOST_GAPS else ""
    return [f"{made}; not, or too long ago: {', '.join(missed[:MOST_GAPS])}{more}"]


def _matter(finding: Mapping[str, Any]) -> str:
    place = f", {finding['place']}" if finding["place"] else ""
    reason = finding["reason"]
    numbers = ""
    if finding["value"] is not None and finding["limit"] is not None:
        unit = f" {finding['unit']}" if finding["unit"] else ""
        numbers = f"{finding['value']:.3g}{unit}, limit {finding['limit']:.3g}{unit}"
    if not reason:
        return f"{finding['topic']}{place}: {numbers}"
    has_numbers = any(sign.isdigit() for sign in reason)
    added = f" ({numbers})" if numbers and not has_numbers else ""
    return f"{finding['topic']}{place}: {reason}{added}"


def _is_near(machine: MachineFound) -> bool:
    """Return whether the forecast matters here: anything open, or a date near."""
    if machine.grade != "IN_ORDER" or machine.forecast is None:
        return True
    first = date.fromisoformat(machine.forecast["plan_before_on"])
    return machine.as_of is None or first < machine.as_of + NEAR


def _forecast(forecast: Mapping[str, Any], as_of: date | None) -> str:
    quantity = QUANTITIES.get(forecast["quantity"], forecast["quantity"])
    place = f", {forecast['place']}" if forecast["place"] else ""
    first = forecast["plan_before_on"]
    past = as_of is not None and date.fromisoformat(first) <= as_of
    passed = ", which has passed" if past else ""
    span = ""
    if forecast["p10_on"] and forecast["p90_on"]:
        span = (
            f"; 80 % of forecasts reach the limit between {forecast['p10_on']} and "
            f"{forecast['p90_on']}"
        )
    return f"plan before {first}{passed} ({quantity}{place}{span})"


def _not_assessed(gaps: Sequence[Mapping[str, Any]]) -> str:
    topics = list(dict.fromkeys(gap["topic"] for gap in gaps))
    more = f" and {len(topics) - MOST_GAPS} more" if len(topics) > MOST_GAPS else ""
    return f"not assessed: {', '.join(topics[:MOST_GAPS])}{more}"


def _doors(
    people: Sequence[Mapping[str, str]], address: str, folder: Path
) -> list[str]:
    office = next(person for person in people if person["role"] == "OFFICE")
    return [
        "\nLOOK AROUND\n",
        f"  {address}/",
        *(line for person in people for line in _person(person)),
        f"  the API, described   {address}/api/v1/schema",
        f"  Each one's token is in {folder / 'logins.json'}, new with each run.",
        f"  curl -H 'Authorization: Bearer {office['token']}' \\",
        f"       '{address}/api/v1/findings?grade=PLAN_WORK'",
    ]


def _person(person: Mapping[str, str]) -> list[str]:
    """Return how someone logs in, and what there is for them to look at first."""
    role = person["role"]
    return [
        f"  {ROLES[role]:<14} {person['username']}, password {person['password']} "
        f"({person['name']})",
        _wrapped(LOOK_AT[role], INDENT),
    ]


def _cautions(found: Sequence[MachineFound]) -> list[str]:
    """Return the cautions that the API gives with every condition, each once."""
    return list(dict.fromkeys(c for machine in found for c in machine.cautions))


def _wrapped(line: str, indent: str) -> str:
    return textwrap.fill(
        line, WIDTH, initial_indent=indent, subsequent_indent=f"{indent}  "
    )
