"""Whoever changes stops holds their machines first: all of them, in one order.

Two who take the same stops one after the other, each in an order of its own, wait for
each other until the database throws one of them out.
"""

from collections.abc import Iterable

from django.db import connection
from django.db.models import Q

from fleet.platform.database.tenancy import Scope
from inspections.models import Finding, Release, Stop, VisitMove

# What the advisory locks of stops have in common: no other code takes this number.
LOCK = 0x5350
# A contractor's machines share so many locks, so that a large fleet does not fill the
# server's table of them. Two machines of one lock wait for each other, no more.
SLOTS = 512

# The machine's row before its stops, as workers and hand-overs have it, and against
# those alone that take it for themselves: whoever holds stops may write lines that
# refer to it. The sort needs every row, so all rows are held before the first lock.
_HOLD = """
WITH held AS MATERIALIZED (
    SELECT id FROM fleet_machine WHERE id = ANY(%s) ORDER BY id FOR KEY SHARE
), slots AS MATERIALIZED (
    SELECT DISTINCT ((%s * %s + id %% %s) %% 2147483648)::int AS slot
    FROM held ORDER BY slot
)
SELECT count(pg_advisory_xact_lock(%s, slot)::text) FROM slots
"""


def hold(*, scope: Scope, machine_ids: Iterable[int]) -> None:
    """Hold the stops of some machines until the transaction ends.

    Before the first of them is locked or written. Who needs those of several machines
    names all of them at once.
    """
    ids = sorted(set(machine_ids))
    if not ids:
        return
    with connection.cursor() as cursor:
        cursor.execute(_HOLD, [ids, scope.contractor_id, SLOTS, SLOTS, LOCK])


def hold_standing(*, scope: Scope) -> None:
    """Hold what a night looks through: every machine that stands, may or stood so."""
    rows = Stop.objects.within(scope).order_by()
    stands = rows.filter(Q(released_at=None) | Q(release=Release.RETIRED))
    asked = Finding.objects.within(scope).filter(current=True, stops_service=True)
    machines = stands.values_list("machine").union(
        asked.order_by().values_list("machine")
    )
    hold(scope=scope, machine_ids=[pk for (pk,) in machines])


def moved_on(*, scope: Scope, visit_ids: Iterable[int]) -> frozenset[int]:
    """Return the machines that some visits were moved to, and moved on from there."""
    found: set[int] = set()
    seen: set[int] = set()
    wanted = set(visit_ids)
    while wanted:
        seen |= wanted
        rows = VisitMove.objects.within(scope).filter(from_visit__in=wanted)
        moves = rows.values_list("to_visit", "from_visit__machine", "to_visit__machine")
        wanted = set()
        for to_visit, *machines in moves:
            found.update(machines)
            wanted |= {to_visit} - seen
    return frozenset(found)
