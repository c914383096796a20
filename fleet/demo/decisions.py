"""The office of the demo says its terms, and decides on one piece of work."""

from collections.abc import Mapping
from typing import Any

from fleet.demo.client import Client

# The list has reading on it too; the demo shows a choice of work.
NO_WORK = ("WATCH", "MEASURE_FIRST")


def bring_terms(*, office: Client, terms: Mapping[str, Mapping[str, Any]]) -> int:
    """Say rates and lead times that were never said; return how many subjects."""
    new = [
        name for name in terms if office.get(f"/api/v1/{name}").get("change") is None
    ]
    for name in new:
        office.change(f"/api/v1/{name}", terms[name])
    return len(new)


def choose_one(*, office: Client) -> Mapping[str, Any] | None:
    """Choose the first proposal that can be chosen; None if one was chosen before.

    The list has the earliest day first, so it is the most urgent work.
    """
    if office.list("/api/v1/planned-works"):
        return None
    for line in office.list("/api/v1/due-works"):
        if line["state"] != "PROPOSED" or line["kind"] in NO_WORK:
            continue
        body = {
            "machine": line["machine"],
            "option": line["kind"],
            "note": "chosen in the demo",
        }
        answer = office.ask("/api/v1/planned-works", body=body)
        if answer is not None and answer.status == 201:
            return dict(answer.json()) | {"machine_code": line["machine_code"]}
    return None
