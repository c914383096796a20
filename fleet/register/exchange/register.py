"""The register's files, in the order in which they can be brought in."""

from fleet.register.exchange.resource import NamingColumn, Reference, Resource
from fleet.register.exchange.seats import Seats
from fleet.register.models import (
    Building,
    Groove,
    Machine,
    Owner,
    Pulley,
    Rope,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Work,
)

_OF_MACHINE = Reference(
    attribute="machine",
    model=Machine,
    parts=(NamingColumn(column="machine", lookup="code"),),
)
_SHEAVE_PARTS = (
    NamingColumn(column="machine", lookup="machine__code"),
    NamingColumn(column="sheave_fitted_on", lookup="fitted_on"),
)
_OF_SHEAVE = Reference(attribute="sheave", model=Sheave, parts=_SHEAVE_PARTS)

REGISTER = (
    Resource(name="owners", model=Owner, key=("code",)),
    Resource(
        name="buildings",
        model=Building,
        key=("code",),
        references=(
            Reference(
                attribute="owner",
                model=Owner,
                parts=(NamingColumn(column="owner", lookup="code"),),
            ),
        ),
    ),
    Resource(
        name="machines",
        model=Machine,
        key=("code",),
        references=(
            Reference(
                attribute="building",
                model=Building,
                parts=(NamingColumn(column="building", lookup="code"),),
            ),
        ),
    ),
    Resource(
        name="pulleys",
        model=Pulley,
        key=("machine_id", "number", "fitted_on"),
        references=(_OF_MACHINE,),
    ),
    Resource(
        name="sheaves",
        model=Sheave,
        key=("machine_id", "fitted_on"),
        references=(_OF_MACHINE,),
    ),
    Resource(
        name="sheave-geometries",
        model=SheaveGeometry,
        key=("sheave_id", "valid_from"),
        references=(_OF_SHEAVE,),
    ),
    Resource(
        name="grooves",
        model=Groove,
        key=("sheave_id", "number"),
        references=(_OF_SHEAVE,),
    ),
    Resource(
        name="rope-sets",
        model=RopeSet,
        key=("sheave_id", "fitted_on"),
        references=(
            Reference(
                attribute="sheave",
                model=Sheave,
                parts=_SHEAVE_PARTS,
                also={"machine_id": "machine_id"},
            ),
        ),
    ),
    Resource(
        name="ropes",
        model=Rope,
        key=("rope_set_id", "number"),
        references=(
            Reference(
                attribute="rope_set",
                model=RopeSet,
                parts=(
                    NamingColumn(column="machine", lookup="sheave__machine__code"),
                    NamingColumn(column="sheave_fitted_on", lookup="sheave__fitted_on"),
                    NamingColumn(column="rope_set_fitted_on", lookup="fitted_on"),
                ),
            ),
        ),
        companion=Seats(),
    ),
    Resource(
        name="works",
        model=Work,
        key=("machine_id", "kind", "done_on"),
        references=(
            _OF_MACHINE,
            Reference(
                attribute="sheave",
                model=Sheave,
                parts=_SHEAVE_PARTS,
                own=("sheave_fitted_on",),
                optional=True,
            ),
            Reference(
                attribute="rope_set",
                model=RopeSet,
                parts=(
                    NamingColumn(column="machine", lookup="machine__code"),
                    NamingColumn(
                        column="rope_set_sheave_fitted_on", lookup="sheave__fitted_on"
                    ),
                    NamingColumn(column="rope_set_fitted_on", lookup="fitted_on"),
                ),
                own=("rope_set_sheave_fitted_on", "rope_set_fitted_on"),
                optional=True,
            ),
        ),
        numbered=True,
    ),
)
RESOURCES = {resource.name: resource for resource in REGISTER}
