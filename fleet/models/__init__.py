"""What stands where: contractors, estates, machines, sheaves, ropes, work, jobs."""

from fleet.models.change import Act, Change
from fleet.models.contractor import Contractor, Membership, Person, Token
from fleet.models.estate import Building, Owner
from fleet.models.job import Job
from fleet.models.machine import Machine, Pulley
from fleet.models.rope import Rope, RopeInGroove, RopeSet
from fleet.models.sheave import Groove, Sheave, SheaveGeometry
from fleet.models.tally import Tally
from fleet.models.tenant import Sourced, TenantQuerySet, TenantRow
from fleet.models.tick import Tick
from fleet.models.work import Work

__all__ = [
    "Act",
    "Building",
    "Change",
    "Contractor",
    "Groove",
    "Job",
    "Machine",
    "Membership",
    "Owner",
    "Person",
    "Pulley",
    "Rope",
    "RopeInGroove",
    "RopeSet",
    "Sheave",
    "SheaveGeometry",
    "Sourced",
    "Tally",
    "TenantQuerySet",
    "TenantRow",
    "Tick",
    "Token",
    "Work",
]
