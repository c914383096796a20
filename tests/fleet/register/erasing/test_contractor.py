"""A retired contractor is removed whole, and nothing of any other one."""

import io
from datetime import date

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connections

from fleet.models import Change, Contractor, ExportFile, Person
from fleet.platform.database import tenancy
from fleet.register.erasing import contractor

pytestmark = pytest.mark.django_db(transaction=True, databases=["default", "owner"])


def erase(*words):
    out = io.StringIO()
    call_command("erase_contractor", "north", *words, stdout=out)
    return out.getvalue()


def retire(world):
    found = world.north.contractor
    with tenancy.acting_for(contractor_id=found.pk):
        Contractor.objects.filter(pk=found.pk).update(retired_on=date(2026, 11, 1))
        ExportFile.objects.update(stored_as="exports/north.csv")
    default_storage.save("exports/north.csv", ContentFile(b"rows"))
    default_storage.save("exports/none.csv", ContentFile(b"the other's"))


def counted(world):
    """Return table -> rows of a contractor, for both of them, the log included."""
    with connections["owner"].cursor() as cursor:
        names = [*contractor.tables(cursor), "fleet_change"]
        return [
            {
                name: contractor._count(cursor, name, cast.contractor.pk)
                for name in names
            }
            for cast in (world.north, world.south)
        ]


def test_a_contractor_that_is_served_is_refused(world):
    before = counted(world)

    with pytest.raises(CommandError, match="not retired"):
        erase("--yes")

    assert counted(world) == before


@pytest.mark.parametrize("words", [("--dry-run",), ()])
def test_without_yes_it_is_only_counted(world, words, capsys):
    retire(world)
    before = counted(world)

    if words:
        said = erase(*words)
        assert f"inspections_reading: {before[0]['inspections_reading']}" in said
        assert "people: 3" in said
    else:
        with pytest.raises(CommandError, match="--yes"):
            erase()

    assert counted(world) == before
    assert default_storage.exists("exports/north.csv")


def test_everything_goes_but_the_line_that_says_so_and_the_other_keeps_all(world, rows):
    retire(world)
    mine, theirs = counted(world)
    assert min(mine[t] for t in ("inspections_reading", "reports_report")) > 0

    erase("--yes")

    after, others = counted(world)
    assert others == theirs
    assert {table: n for table, n in after.items() if n} == {"fleet_change": 1}
    assert rows("north-") == {}
    assert rows("North Lifts") == {}
    assert not default_storage.exists("exports/north.csv")
    assert default_storage.exists("exports/none.csv")
    assert not Person.objects.filter(username__startswith="north").exists()
    tomb = Contractor.objects.get(pk=world.north.contractor.pk)
    assert tomb.code == tomb.name == f"erased-{tomb.pk}"
    with tenancy.acting_for(contractor_id=tomb.pk):
        line = Change.objects.get()
    assert line.via == "manage.py erase_contractor"
    assert line.fields["code"] == ["erased", "erased"]
