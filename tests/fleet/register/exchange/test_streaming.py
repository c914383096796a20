"""However much goes out, little is held at once."""

import tracemalloc

import pytest

from fleet.models import Owner
from fleet.register.exchange import exporting
from fleet.register.exchange.register import RESOURCES
from tests.fleet.register.exchange import files

pytestmark = pytest.mark.django_db

ALLOWED_GROWTH = 300_000


@pytest.mark.long
@pytest.mark.parametrize("form", ["csv_pieces", "json_line_pieces"])
def test_four_times_the_rows_take_no_more_memory(form):
    scope = files.empty_scope()
    _add_owners(scope, 0, 4000)
    small = _peak(scope, form)
    _add_owners(scope, 4000, 16_000)

    large = _peak(scope, form)

    assert large < small + ALLOWED_GROWTH


def _add_owners(scope, first, last):
    Owner.objects.bulk_create(
        Owner(
            contractor_id=scope.contractor_id,
            code=f"o-{number}",
            name="A name of some length " * 4,
        )
        for number in range(first, last)
    )


def _peak(scope, form):
    outgoing = exporting.Register(resource=RESOURCES["owners"])
    pieces = getattr(exporting, form)(scope=scope, outgoing=outgoing)
    tracemalloc.start()
    length = sum(len(piece) for piece in pieces)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert length > 300_000
    return peak


def test_what_is_written_goes_on_before_the_last_row_is_read():
    scope = files.empty_scope()
    _add_owners(scope, 0, 4000)
    outgoing = exporting.Register(resource=RESOURCES["owners"])

    pieces = list(exporting.csv_pieces(scope=scope, outgoing=outgoing))

    assert len(pieces) > 4
    assert max(len(piece) for piece in pieces) < 70_000


def test_a_stream_that_is_not_read_to_its_end_leaves_nothing_open():
    scope = files.empty_scope()
    _add_owners(scope, 0, 3000)
    outgoing = exporting.Register(resource=RESOURCES["owners"])
    pieces = exporting.csv_pieces(scope=scope, outgoing=outgoing)

    next(pieces)
    pieces.close()

    assert Owner.objects.within(scope).count() == 3000


@pytest.mark.django_db(transaction=True)
def test_outside_a_transaction_the_stream_opens_one_that_only_reads():
    from django.db import connection, transaction

    with transaction.atomic():
        scope = files.empty_scope()
        _add_owners(scope, 0, 3)
    seen = []

    class Curious(exporting.Register):
        def lines(self, *, scope):
            with connection.cursor() as cursor:
                cursor.execute("SHOW transaction_read_only")
                seen.append(cursor.fetchone()[0])
                cursor.execute("SHOW transaction_isolation")
                seen.append(cursor.fetchone()[0])
            return exporting.Register.lines(self, scope=scope)

    out = b"".join(
        exporting.csv_pieces(
            scope=scope, outgoing=Curious(resource=RESOURCES["owners"])
        )
    )

    assert out.count(b"\r\n") == 4
    assert seen == ["on", "repeatable read"]
    assert not connection.in_atomic_block
