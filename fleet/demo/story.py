"""What happens in the demo, step by step; every step can be repeated.

A run that was killed goes on where it stood: what is registered stays registered,
an upload that is sent again gets the answer it had, a report that is due is awaited.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from fleet.demo import dates, register
from fleet.demo.client import Client
from fleet.demo.places import DemoPlaces, read_json, write_json
from fleet.demo.problems import DemoStopped
from fleet.models import Contractor
from fleet.platform.choices import Role

PORTFOLIO = "portfolio.json"
UPLOADS = "uploads.json"
OF_THE_STORY = ("reference_date", "gauges", "terms", "last_call")


@dataclass(frozen=True, slots=True, kw_only=True)
class Script:
    """The portfolio and its readings, as if they ended today."""

    portfolio: Mapping[str, Any]
    gauges: tuple[Mapping[str, Any], ...]
    terms: Mapping[str, Any]
    uploads: tuple[Mapping[str, Any], ...]
    last_call: Mapping[str, Any]
    days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """The contractor with its people, and whether they were there already."""

    contractor: Contractor
    people: list[dict[str, str]]
    is_first: bool

    def token_of(self, role: str) -> str:
        """Return the token of the first person in this role."""
        return next(p["token"] for p in self.people if p["role"] == role)


def read(*, places: DemoPlaces, fixtures: Path) -> Script:
    """Return the script; a later run reads it with the dates of the first.

    Raises DemoStopped if the fixtures are missing.
    """
    portfolio, uploads = _fixture(fixtures / PORTFOLIO), _fixture(fixtures / UPLOADS)
    days = read_json(places.story).get("days")
    if days is None:
        days = dates.days_between(
            reference_date=portfolio["reference_date"],
            today=datetime.now(UTC).date(),
        )
    moved = dates.shifted(portfolio, days=days)
    return Script(
        portfolio={k: v for k, v in moved.items() if k not in OF_THE_STORY},
        gauges=tuple(moved.get("gauges", ())),
        terms=moved.get("terms", {}),
        uploads=tuple(dates.shifted(uploads["uploads"], days=days)),
        last_call=_of_machines(moved.get("last_call", {}), moved),
        days=days,
    )


def open_(*, places: DemoPlaces, script: Script) -> Opening:
    """Register the portfolio unless it is there, and let its people in.

    Raises DemoStopped if it is there but its dates are not known.
    """
    contractor = register.find(code=script.portfolio["contractor"]["code"])
    is_first = contractor is None
    if contractor is None:
        # Before the registration, so that a later run finds the dates in any case.
        write_json(places.story, {"days": script.days})
        contractor = register.register(portfolio=script.portfolio)
    elif "days" not in read_json(places.story):
        raise DemoStopped(
            f"{places.story} is missing, so the dates of the demo are not known. "
            "Begin anew with --fresh."
        )
    people = register.let_in(contractor=contractor, places=places)
    return Opening(contractor=contractor, people=people, is_first=is_first)


def bring_gauges(*, office: Client, script: Script) -> int:
    """Register the gauges that are missing; return how many."""
    known = {gauge["code"] for gauge in office.list("/api/v1/gauges")}
    missing = [gauge for gauge in script.gauges if gauge["code"] not in known]
    for gauge in missing:
        office.post("/api/v1/gauges", gauge, expected=(201,))
    return len(missing)


def upload(
    *, technician: Client, upload: Mapping[str, Any], number: int
) -> dict[str, int]:
    """Send one upload; return how many of its readings had which outcome."""
    # The device sends today what was read over years, so it says no time of sending;
    # the body is then the same in each run, and a repeat is told by its key.
    body = {"visits": upload["visits"]}
    answer = technician.post(
        "/api/v1/uploads", body, expected=(207,), key=f"demo-{number}"
    )
    refused = [r["problem"] for r in answer["readings"] if r["outcome"] == "refused"]
    if refused:
        raise DemoStopped(
            f"Upload {number}: {len(refused)} readings were refused, the first with "
            f"{refused[0]['detail']!r} ({refused[0]['pointer']})."
        )
    return dict(answer["counts"])


def is_uploaded(*, places: DemoPlaces) -> bool:
    """Return whether an earlier run has sent every reading."""
    return bool(read_json(places.story).get("uploaded"))


def note_uploaded(*, places: DemoPlaces) -> None:
    """Remember that every reading was sent."""
    write_json(places.story, read_json(places.story) | {"uploaded": True})


def clients(*, address: str, opening: Opening) -> tuple[Client, Client]:
    """Return the ways of the office and of the technician to the API."""
    return (
        Client(address=address, token=opening.token_of(Role.OFFICE)),
        Client(address=address, token=opening.token_of(Role.TECHNICIAN)),
    )


def _of_machines(
    upload: Mapping[str, Any], portfolio: Mapping[str, Any]
) -> Mapping[str, Any]:
    """Return an upload without visits to machines that are not in the portfolio."""
    codes = {m["code"] for b in portfolio["buildings"] for m in b["machines"]}
    visits = [v for v in upload.get("visits", ()) if v["machine"] in codes]
    return {"visits": visits} if visits else {}


def _fixture(path: Path) -> dict[str, Any]:
    try:
        return dict(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError) as problem:
        raise DemoStopped(
            f"{path} cannot be read: {problem}. Check out the project again."
        ) from problem
