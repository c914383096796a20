"""What was found, in plain words, for someone who sees it for the first time."""

import textwrap
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from fleet.demo.findings import MachineFound

WIDTH = 88
INDENT = " " * 17
MOST_MATTERS = 3
MOST_GAPS = 1

GRADES = {
    "ACT_NOW": "ACT NOW",
    "PLAN_WORK": "PLAN WORK",
    "NOT_ASSESSED": "NOT ASSESSED",
    "KEEP_AN_EYE_ON": "KEEP AN EYE ON",
    "IN_ORDER": "in order",
}
ROLES = {
    "OFFICE": "office",
    "TECHNICIAN": "technician",
    "OWNER_READER": "owner's reader",
}
QUANTITIES = {
    "seat_depth": "how deep the ropes have sunk",
    "diameter_loss": "rope diameter lost",
    "counterweight_runby": "counterweight run-by used up",
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
        "\nREPORTS\n",
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
    lines = [f"{head}, {machine.building}"]
    lines += [_matter(finding) for finding in machine.matters[:MOST_MATTERS]]
    if len(machine.matters) > MOST_MATTERS:
        lines.append(f"and {len(machine.matters) - MOST_MATTERS} more, see the report")
    if machine.grade == "NOT_ASSESSED":
        lines += [_matter(finding) for finding in machine.gaps[:MOST_GAPS]]
    if machine.forecast is not None:
        lines.append(_forecast(machine.forecast))
    return "\n".join([lines[0], *(_wrapped(line, INDENT) for line in lines[1:])])


def _matter(finding: Mapping[str, Any]) -> str:
    place = f", {finding['place']}" if finding["place"] else ""
    numbers = ""
    if finding["value"] is not None and finding["limit"] is not None:
        unit = f" {finding['unit']}" if finding["unit"] else ""
        value, limit = f"{finding['value']:.3g}{unit}", f"{finding['limit']:.3g}{unit}"
        numbers = f" is {value}, the limit {limit}"
    reason = f": {finding['reason']}" if finding["reason"] else ""
    return f"{finding['topic']}{place}{numbers}{reason}"


def _forecast(forecast: Mapping[str, Any]) -> str:
    quantity = QUANTITIES.get(forecast["quantity"], forecast["quantity"])
    place = f", {forecast['place']}" if forecast["place"] else ""
    span = ""
    if forecast["p10_on"] and forecast["p90_on"]:
        span = (
            f"; 8 of 10 courses meet the limit between {forecast['p10_on']} and "
            f"{forecast['p90_on']}"
        )
    return f"plan before {forecast['plan_before_on']} ({quantity}{place}{span})"


def _doors(
    people: Sequence[Mapping[str, str]], address: str, folder: Path
) -> list[str]:
    office = next(person for person in people if person["role"] == "OFFICE")
    return [
        "\nLOOK AROUND\n",
        f"  the office's pages   {address}/admin/",
        f"  the API, described   {address}/api/v1/schema",
        f"  {'user':<12} {'password':<16} role",
        *(
            f"  {p['username']:<12} {p['password']:<16} {ROLES[p['role']]}, {p['name']}"
            for p in people
        ),
        f"  Tokens for the API are in {folder / 'logins.json'}. For instance:",
        f"  curl -H 'Authorization: Bearer {office['token']}' \\",
        f"       {address}/api/v1/findings?grade=ACT_NOW",
    ]


def _cautions(found: Sequence[MachineFound]) -> list[str]:
    """Return the cautions that the API gives with every condition, each once."""
    return list(dict.fromkeys(c for machine in found for c in machine.cautions))


def _wrapped(line: str, indent: str) -> str:
    return textwrap.fill(
        line, WIDTH, initial_indent=indent, subsequent_indent=f"{indent}  "
    )
