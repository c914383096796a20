"""What the register once said of a part and says no more.

Such a value is no knowledge, but it is no reason either to hold a machine for better
than it was held for: it stays as one end of what is assumed.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import reduce
from operator import or_
from typing import Any

from django.db.models import Model, Q

from fleet.platform.database.tenancy import Scope
from fleet.platform.models.change import Change, ChangeAct

# What the program has a plausible range for, where the register does not say it.
COLUMNS: Mapping[str, tuple[str, ...]] = {
    "machine": (
        "car_mass_kg",
        "balance_ratio",
        "counterweight_mass_kg",
        "compensation_mass_kg_m",
        "travelling_cable_mass_kg_m",
        "wrap_angle_deg",
        "rated_load_kg",
        "rated_speed_m_s",
        "travel_m",
        "braking_deceleration_m_s2",
    ),
    "rope_set": ("mass_kg_m",),
    "geometry": (
        "groove_angle_deg",
        "undercut_angle_deg",
        "seat_radius_mm",
        "flat_bottom_width_mm",
        "slot_width_mm",
        "bottom_clearance_new_mm",
        "hardened_depth_mm",
    ),
}

# By the rows of one machine: what they are, and the row.
Rows = Mapping[str, Model | None]


def load(*, scope: Scope, rows_of: Mapping[int, Rows]) -> dict[int, dict[str, float]]:
    """Return for each machine the last value of every column that is empty now."""
    machines: dict[tuple[str, int], int] = {}
    wanted: dict[str, list[int]] = defaultdict(list)
    for machine_id, rows in rows_of.items():
        for name, row in rows.items():
            if row is None or not any(_empty(row, COLUMNS[name])):
                continue
            table = row._meta.db_table
            machines[table, row.pk] = machine_id
            wanted[table].append(row.pk)
    if not wanted:
        return {}
    found: dict[int, dict[str, float]] = defaultdict(dict)
    empty = {
        (row._meta.db_table, row.pk): set(_empty(row, COLUMNS[name]))
        for rows in rows_of.values()
        for name, row in rows.items()
        if row is not None
    }
    for table, row_id, fields in _taken_away(scope, wanted):
        for column in empty[table, row_id] & fields.keys():
            before, after = fields[column]
            if before is not None and after is None:
                found[machines[table, row_id]][column] = float(before)
    return found


def _empty(row: Model, columns: Iterable[str]) -> Iterable[str]:
    return (column for column in columns if getattr(row, column) is None)


def _taken_away(
    scope: Scope, wanted: Mapping[str, list[int]]
) -> Iterable[tuple[str, int, dict[str, Any]]]:
    """Return the changes of some rows that touched a column, oldest first."""
    some = reduce(or_, (Q(table=t, row_id__in=ids) for t, ids in wanted.items()))
    columns = [column for names in COLUMNS.values() for column in names]
    rows: Iterable[tuple[str, int, dict[str, Any]]] = (
        Change.objects.within(replace(scope, owner_id=None))
        .filter(some, act=ChangeAct.CHANGED, fields__has_any_keys=columns)
        .order_by("pk")
        .values_list("table", "row_id", "fields")
    )
    return rows
