"""A report of work done: what it says, and what each kind of work must say."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from fleet.platform import printing
from fleet.register.choices import WorkKind
from inspections.completion.problems import NotTaken

Fields = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Takes:
    """The parts that a kind of work tells of."""

    needs: tuple[str, ...] = ()
    may: tuple[str, ...] = ()


# A new rim is a new sheave to the register: nothing read of the old one holds for it.
TAKES = {
    WorkKind.ROPING: Takes(needs=("rope_set",)),
    WorkKind.REGROOVING: Takes(needs=("geometry",), may=("rope_set",)),
    WorkKind.RIM_RENEWAL: Takes(
        needs=("geometry", "grooves", "rope_set"), may=("sheave",)
    ),
    WorkKind.SHEAVE_REPLACEMENT: Takes(
        needs=("sheave", "geometry", "grooves", "rope_set")
    ),
    WorkKind.SHORTENING: Takes(),
    WorkKind.EQUALISING: Takes(),
    WorkKind.LUBRICATION: Takes(),
    WorkKind.REPAIR: Takes(),
}
PARTS = ("rope_set", "geometry", "sheave", "grooves")
_WHY_NEEDED = {
    "rope_set": "new grooves take new ropes: old ones have the old grooves' shape",
    "geometry": "the grooves as cut are what every later reading is judged with",
    "sheave": "the new sheave's own data replace the old one's",
    "grooves": "readings name a groove by its number",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkReport:
    """Work as reported: its day, the new parts, and the visit that read as left."""

    kind: str
    done_on: date
    done_by: str = ""
    done_by_member: int | None = None
    note: str = ""
    rope_set: Fields | None = None
    geometry: Fields | None = None
    sheave: Fields | None = None
    grooves: tuple[Fields, ...] | None = None
    as_left: Fields | None = None
    planned_work: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """Something that the reporter should know of; it keeps nothing from being done."""

    code: str
    detail: str

    def as_json(self) -> dict[str, str]:
        return {"code": self.code, "detail": self.detail}


def check(report: WorkReport) -> None:
    """Raise NotTaken if the report lacks a part or tells of one that it must not.

    Raises Unprintable for somebody whom no document can name.
    """
    printing.check({"done_by": report.done_by})
    takes = TAKES[WorkKind(report.kind)]
    label = WorkKind(report.kind).label
    for name in PARTS:
        given = getattr(report, name) is not None
        if given and name not in (*takes.needs, *takes.may):
            raise NotTaken(
                f"{label} tells of no new {name}",
                pointer=f"/{name}",
                code="part-not-taken",
            )
        if not given and name in takes.needs:
            raise NotTaken(
                f"{label} needs {name}: {_WHY_NEEDED[name]}",
                pointer=f"/{name}",
                code="part-missing",
            )
