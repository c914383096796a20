"""Condition reports of the demo's buildings: asked for, awaited, fetched."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from fleet.demo.client import Client
from fleet.demo.problems import DemoStopped

PERIOD = timedelta(days=90)
PDF_BEGINS_WITH = b"%PDF-"


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedReport:
    """One building with the report that is made or was made for it."""

    building: Mapping[str, Any]
    report_id: int
    is_new: bool


def ask_for(*, office: Client, today: date) -> list[WantedReport]:
    """Ask for a report on every building that has none yet."""
    newest: dict[int, dict[str, Any]] = {}
    for report in office.list("/api/v1/reports"):
        if report["building"] is not None and report["state"] != "FAILED":
            newest[report["building"]] = report
    wanted = []
    for building in office.list("/api/v1/buildings"):
        known = newest.get(building["id"])
        report = known or _ask(office, building, today)
        wanted.append(
            WantedReport(
                building=building, report_id=report["id"], is_new=known is None
            )
        )
    return wanted


def fetch(
    *, office: Client, wanted: Sequence[WantedReport], folder: Path
) -> list[Path]:
    """Store the published reports in a folder and return their paths.

    Raises DemoStopped if one was not published.
    """
    return [_fetch(office, one, folder) for one in wanted]


def _ask(office: Client, building: Mapping[str, Any], today: date) -> Any:
    return office.post(
        "/api/v1/reports",
        {
            "building": building["id"],
            "period_start": (today - PERIOD).isoformat(),
            "period_end": today.isoformat(),
        },
        expected=(202,),
    )


def _fetch(office: Client, wanted: WantedReport, folder: Path) -> Path:
    report = office.get(f"/api/v1/reports/{wanted.report_id}")
    name = wanted.building["name"]
    if report["state"] != "PUBLISHED":
        raise DemoStopped(
            f"The report on {name} was not published: {report['state']} "
            f"{report['problem']}".rstrip()
        )
    content = office.download(f"/api/v1/reports/{wanted.report_id}/file")
    if not content.startswith(PDF_BEGINS_WITH):
        raise DemoStopped(f"The report on {name} is no PDF.")
    path = folder / f"{wanted.building['code']}.pdf"
    unfinished = path.with_suffix(".unfinished")
    unfinished.write_bytes(content)
    unfinished.replace(path)
    return path
