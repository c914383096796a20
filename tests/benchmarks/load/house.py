"""The contractor under load: a machine with five ropes for each technician."""

from typing import Any

from tests import factories

CODE = "load"


def register(*, machines: int) -> dict[str, Any]:
    """Register a contractor with so many machines.

    Return the keys of its people by role, and the machines' codes as ``machines``.
    """
    from django.db import transaction

    entry = factories.portfolio(code=CODE)
    entry["buildings"][0]["machines"] = [
        factories.undercut_machine() | {"code": code} for code in codes(machines)
    ]
    with transaction.atomic():
        cast = factories.cast(code=CODE, entry=entry)
    return cast.keys | {"machines": codes(machines)}


def codes(machines: int) -> list[str]:
    return [f"L-{number}" for number in range(1, machines + 1)]
