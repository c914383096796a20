"""New ropes on a sheave: the set renewed as a whole, each rope in its groove."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from django.db.models import Q

from fleet.models import Groove, Machine, Rope, RopeInGroove, RopeSet, Sheave
from fleet.platform.database.tenancy import Scope
from fleet.register.choices import Wrap
from inspections.completion import periods
from inspections.completion.problems import NotTaken
from inspections.completion.report import Fields, Notice

_PASSES = {Wrap.SINGLE: 1, Wrap.DOUBLE: 2}


def renew(
    *,
    scope: Scope,
    machine: Machine,
    sheave: Sheave,
    grooves: Sequence[Groove],
    old: RopeSet | None,
    given: Fields,
    day: date,
) -> RopeSet:
    """Take the old set out and fit the new one. Raises NotTaken, WorkConflict."""
    by_number = {groove.number: groove for groove in grooves}
    ropes: Sequence[Fields] = given["ropes"]
    check_map(ropes=ropes, grooves=by_number, wrap=machine.wrap)
    rows = RopeSet.objects.within(scope).filter(sheave=sheave)
    ends = periods.next_fitting(rows, day=day)
    if old is not None:
        periods.refuse_readings_since(
            scope=scope,
            machine=machine,
            of=Q(rope__rope_set=old),
            day=day,
            what="ropes",
        )
        ends = periods.close(scope=scope, part=old, day=day)
    fields = {name: value for name, value in given.items() if name != "ropes"}
    rope_set: RopeSet = RopeSet.objects.create(
        contractor_id=scope.contractor_id,
        machine=machine,
        sheave=sheave,
        fitted_on=day,
        # On a sheave that has gone meanwhile the ropes have gone with it.
        retired_on=ends or sheave.retired_on,
        ropes_count=len(ropes),
        **fields,
    )
    _lay(scope=scope, rope_set=rope_set, ropes=ropes, grooves=by_number)
    return rope_set


def _lay(
    *,
    scope: Scope,
    rope_set: RopeSet,
    ropes: Sequence[Fields],
    grooves: Mapping[int, Groove],
) -> None:
    """Store the ropes and which groove each runs in, pass by pass."""
    rows = Rope.objects.bulk_create(
        Rope(
            contractor_id=scope.contractor_id,
            rope_set=rope_set,
            **{name: value for name, value in rope.items() if name != "grooves"},
        )
        for rope in ropes
    )
    RopeInGroove.objects.bulk_create(
        RopeInGroove(
            contractor_id=scope.contractor_id,
            rope=row,
            groove=grooves[number],
            pass_number=pass_number,
        )
        for row, rope in zip(rows, ropes, strict=True)
        for pass_number, number in enumerate(rope["grooves"], start=1)
    )


def check_map(
    *, ropes: Sequence[Fields], grooves: Mapping[int, Any], wrap: str
) -> None:
    """Raise NotTaken unless ropes are 1 to n, each in grooves of its own."""
    passes = _PASSES[Wrap(wrap)]
    taken: dict[int, int] = {}
    for place, rope in enumerate(ropes):
        number, pointer = rope["number"], f"/rope_set/ropes/{place}"
        if number != place + 1:
            raise NotTaken(
                f"the ropes are listed as 1 to {len(ropes)}; here stands {number}",
                pointer=f"{pointer}/number",
                code="ropes-not-numbered",
            )
        if len(rope["grooves"]) != passes:
            raise NotTaken(
                f"rope {number} runs in {len(rope['grooves'])} grooves; with a "
                f"{Wrap(wrap).label} it is {passes}",
                pointer=f"{pointer}/grooves",
                code="wrong-passes",
            )
        for groove in rope["grooves"]:
            if groove not in grooves:
                raise NotTaken(
                    f"the sheave has no groove {groove}",
                    pointer=f"{pointer}/grooves",
                    code="unknown-groove",
                )
            if groove in taken:
                raise NotTaken(
                    f"groove {groove} holds rope {taken[groove]} already",
                    pointer=f"{pointer}/grooves",
                    code="groove-taken-twice",
                )
            taken[groove] = number


def notices(
    *, given: Fields, old: RopeSet | None, grooves: Sequence[Groove]
) -> Iterator[Notice]:
    """Yield what the new set lacks, and where it differs from the one before."""
    ropes: Sequence[Fields] = given["ropes"]
    if not given.get("certificate"):
        yield Notice(
            code="certificate-missing",
            detail="no certificate is named; breaking force and mass are those of "
            "tables until it is",
        )
    unread = [r["number"] for r in ropes if r.get("diameter_as_fitted_mm") is None]
    if unread:
        named = ", ".join(map(str, unread))
        yield Notice(
            code="diameter-as-fitted-missing",
            detail=f"the diameter as fitted of rope {named} is not told; its loss "
            "counts from the nominal diameter",
        )
    laid = {number for rope in ropes for number in rope["grooves"]}
    empty = sorted(groove.number for groove in grooves if groove.number not in laid)
    if empty:
        named = ", ".join(map(str, empty))
        yield Notice(code="grooves-empty", detail=f"no rope runs in groove {named}")
    yield from _differences(given, len(ropes), old)


def _differences(given: Fields, count: int, old: RopeSet | None) -> Iterator[Notice]:
    if old is None:
        return
    if old.ropes_count != count:
        yield Notice(
            code="ropes-count-changed",
            detail=f"{count} ropes instead of {old.ropes_count}: name who "
            "approved it; strength and traction change",
        )
    if old.nominal_diameter_mm != given["nominal_diameter_mm"]:
        yield Notice(
            code="rope-diameter-changed",
            detail=f"{given['nominal_diameter_mm']:g} mm ropes instead of "
            f"{old.nominal_diameter_mm:g} mm: the grooves must fit them",
        )
