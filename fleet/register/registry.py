"""Register what stands where: a whole portfolio at once, nested as people think it.

Used for the demo and for first registrations; all or nothing.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, TypeVar

from django.db import transaction

from fleet.platform import printing, zones
from fleet.platform.database import table_statistics, tenancy
from fleet.platform.errors import Conflict, Unprocessable
from fleet.platform.models import Contractor, Membership, Person, TenantRow
from fleet.platform.queue import jobs
from fleet.register import own_limits
from fleet.register.models import (
    Building,
    Groove,
    Machine,
    Owner,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Work,
)

Entry = Mapping[str, Any]
# Tables that others refer to and that grow with each machine.
_COUNTED = (Building, Machine, Sheave, Groove, RopeSet, Rope)
Row = TypeVar("Row", bound=TenantRow)
Key = TypeVar("Key")
Found = TypeVar("Found")


class AlreadyRegistered(Conflict):
    """A contractor of this code is registered already."""

    code = "already-registered"


class UnknownReference(Unprocessable):
    """The portfolio refers to something it does not hold."""

    code = "unknown-reference"


class UnknownZone(Unprocessable):
    """A time zone is not in the IANA list."""

    code = "unknown-zone"


class UnknownCriteria(Unprocessable):
    """A criteria set, or a limit of one's own, is one that nothing can judge by."""

    code = "unknown-criteria"


@transaction.atomic
def register(*, portfolio: Entry) -> Contractor:
    """Store a contractor with everything it looks after.

    Raises AlreadyRegistered, UnknownReference, UnknownZone, UnknownCriteria,
    Unprintable, and whatever the database's constraints refuse; nothing is stored then.
    """
    fields = portfolio["contractor"]
    if Contractor.objects.filter(code=fields["code"]).exists():
        raise AlreadyRegistered(f"contractor {fields['code']!r} is registered already")
    _check_zone(fields.get("time_zone", "UTC"))
    printing.check(fields, at="/contractor")
    contractor = Contractor.objects.create(**fields)
    tenancy.confine(contractor_id=contractor.pk)
    owners = {
        entry["code"]: _create(Owner, contractor, entry)
        for entry in portfolio["owners"]
    }
    for entry in portfolio.get("people", ()):
        _register_person(contractor=contractor, entry=entry, owners=owners)
    for entry in portfolio["buildings"]:
        owner = _find(owners, entry["owner"], what="owner")
        _check_zone(entry["time_zone"])
        _check_criteria(entry)
        building = _create(
            Building, contractor, entry, without=("machines",), owner=owner
        )
        for machine in entry.get("machines", ()):
            _register_machine(building=building, entry=machine)
    table_statistics.refresh(*_COUNTED, rows=Rope.objects.count())
    return contractor


def reassess(
    *, scope: tenancy.Scope, row: TenantRow, kind: str, now: datetime
) -> list[int]:
    """Queue a job for every machine that a change of a row touches; return their ids.

    Rows that lead to no machine, such as an owner, queue nothing.
    """
    if not row.from_machine:
        return []
    machines = Machine.objects.within(scope).filter(**{row.from_machine: row.pk})
    return jobs.write(
        kind=kind,
        contractor_id=scope.contractor_id,
        subject_ids=machines.filter(retired_on=None).values_list("pk", flat=True),
        due_at=now,
    )


def _register_person(
    *, contractor: Contractor, entry: Entry, owners: Mapping[str, Owner]
) -> None:
    printing.check(entry, at="/people")
    person = Person.objects.create(
        username=entry["username"],
        first_name=entry.get("first_name", ""),
        last_name=entry.get("last_name", ""),
        is_staff=entry["role"] == "OFFICE",
    )
    owner = entry.get("owner")
    Membership.objects.create(
        person=person,
        contractor=contractor,
        role=entry["role"],
        owner_id=_find(owners, owner, what="owner").pk if owner else None,
    )


def _register_machine(*, building: Building, entry: Entry) -> None:
    machine = _create(
        Machine,
        building.contractor,
        entry,
        without=("pulleys", "sheaves", "works"),
        building=building,
    )
    for pulley in entry.get("pulleys", ()):
        _create(Pulley, machine.contractor, pulley, machine=machine)
    for sheave in entry.get("sheaves", ()):
        _register_sheave(machine=machine, entry=sheave)
    for work in entry.get("works", ()):
        _create(Work, machine.contractor, work, machine=machine)


def _register_sheave(*, machine: Machine, entry: Entry) -> None:
    contractor = machine.contractor
    sheave = _create(
        Sheave,
        contractor,
        entry,
        without=("geometries", "grooves", "rope_sets"),
        machine=machine,
    )
    for geometry in entry.get("geometries", ()):
        _create(SheaveGeometry, contractor, geometry, sheave=sheave)
    grooves = {
        groove["number"]: _create(Groove, contractor, groove, sheave=sheave)
        for groove in entry.get("grooves", ())
    }
    for rope_set in entry.get("rope_sets", ()):
        _register_rope_set(sheave=sheave, entry=rope_set, grooves=grooves)


def _register_rope_set(
    *, sheave: Sheave, entry: Entry, grooves: Mapping[int, Groove]
) -> None:
    contractor = sheave.contractor
    rope_set = _create(
        RopeSet,
        contractor,
        entry,
        without=("ropes",),
        machine=sheave.machine,
        sheave=sheave,
    )
    for rope_entry in entry.get("ropes", ()):
        rope = _create(
            Rope, contractor, rope_entry, without=("grooves",), rope_set=rope_set
        )
        numbers: Sequence[int] = rope_entry.get("grooves", ())
        for pass_number, number in enumerate(numbers, start=1):
            RopeInGroove.objects.create(
                contractor=contractor,
                rope=rope,
                groove=_find(grooves, number, what="groove"),
                pass_number=pass_number,
            )


def _create(
    model: type[Row],
    contractor: Contractor,
    entry: Entry,
    *,
    without: Sequence[str] = (),
    **parents: Any,
) -> Row:
    """Store one row from its entry, lists of children and parents left out."""
    fields = {
        name: value
        for name, value in entry.items()
        if name not in without and name not in parents
    }
    printing.check(fields, at=f"/{model._meta.model_name}")
    row = model(contractor=contractor, **fields, **parents)
    row.save(force_insert=True)
    return row


def _check_zone(name: str) -> None:
    if not zones.is_known(name):
        raise UnknownZone(f"{name!r} is no IANA time zone")


def _check_criteria(entry: Entry) -> None:
    said = own_limits.refusal_of_set(entry["criteria_set"])
    said = said or own_limits.refusal(entry.get("criteria_overrides", {}))
    if said:
        raise UnknownCriteria(said)


def _find(found: Mapping[Key, Found], key: Key, *, what: str) -> Found:
    if key not in found:
        raise UnknownReference(f"there is no {what} {key!r} in this portfolio")
    return found[key]
