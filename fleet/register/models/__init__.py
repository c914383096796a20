"""Tables of the register."""

from fleet.register.models.estate import Building, Owner
from fleet.register.models.export_file import ExportFile
from fleet.register.models.import_file import ImportFile
from fleet.register.models.machine import Machine, Pulley
from fleet.register.models.rope import Rope, RopeInGroove, RopeSet
from fleet.register.models.sheave import Groove, Sheave, SheaveGeometry
from fleet.register.models.work import Work

__all__ = [
    "Building",
    "ExportFile",
    "Groove",
    "ImportFile",
    "Machine",
    "Owner",
    "Pulley",
    "Rope",
    "RopeInGroove",
    "RopeSet",
    "Sheave",
    "SheaveGeometry",
    "Work",
]
