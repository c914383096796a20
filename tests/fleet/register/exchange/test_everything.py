"""Everything can be taken out: no table is forgotten, nothing secret is in it."""

import json
import zipfile
from io import BytesIO, StringIO

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command

from fleet.models import Person, TenantRow, Token
from fleet.register.exchange import everything, exporting
from fleet.register.exchange.tables import TenantTable
from tests import callers, estates, factories

pytestmark = pytest.mark.django_db

# Goes out in another table's columns.
ELSEWHERE = {
    "RopeInGroove": "ropes",
    "Reading": "readings",
    "ReadingReview": "reading-reviews",
}

# What somebody is still typing; forms and files that did what stands in the tables;
# what is worked out of other tables at once.
NOT_OUT = {"ImportFile", "MachineState", "SentForm", "StateMark"}


def take(cast, name, **how):
    answer = callers.call(cast, "GET", f"/api/v1/exports/{name}", **how)
    assert answer.status_code == 200, answer.content
    return b"".join(answer.streaming_content)


def unpacked(packed):
    archive = zipfile.ZipFile(BytesIO(packed))
    return {name: archive.read(name) for name in archive.namelist()}


def test_every_table_of_a_contractor_goes_out():
    tables = {m.__name__ for m in apps.get_models() if issubclass(m, TenantRow)}

    out = set()
    for each in everything.outgoing().values():
        if isinstance(each, exporting.Register):
            out.add(each.resource.model.__name__)
        elif isinstance(each, TenantTable):
            out.add(each.model.__name__)

    assert tables - out == set(ELSEWHERE) | NOT_OUT
    assert set(ELSEWHERE.values()) <= set(everything.outgoing())


def test_every_table_goes_out_with_its_rows_in_both_forms(world):
    cells = unpacked(take(world.north, "everything.zip"))
    lines = unpacked(take(world.north, "everything.jsonl.zip"))

    assert cells.pop("CAUTIONS.txt") == lines.pop("CAUTIONS.txt")
    assert [name.removesuffix(".csv") for name in cells] == list(everything.outgoing())
    assert {n.removesuffix(".jsonl") for n in lines} == set(everything.outgoing())
    empty = [name for name, text in cells.items() if text.count(b"\r\n") < 2]
    assert empty == []
    for name, text in lines.items():
        for line in text.decode().splitlines():
            assert isinstance(json.loads(line), dict), name


@pytest.mark.parametrize("form", ["everything.zip", "everything.jsonl.zip"])
def test_nothing_of_another_contractor_is_in_it_and_nothing_secret(world, form):
    Person.objects.filter(username="north-office").update(password="pbkdf2$canary")
    digests = [token.digest for token in Token.objects.all()]

    for ring in (1, 2):
        if ring == 1:
            files = unpacked(take(world.north, form))
        else:
            with callers.without_scope():
                files = unpacked(take(world.north, form))

        whole = b"".join(files.values()).decode()
        assert "north-office" in whole
        assert "south" not in whole
        for secret in ("canary", *digests, *(k for k in world.north.keys.values())):
            assert secret not in whole


def test_an_owners_reader_takes_out_the_own_buildings_only(world):
    files = unpacked(take(world.north, "everything.zip", role="OWNER_READER"))

    whole = b"".join(files.values()).decode()
    assert "MH-1" in whole
    assert "QC-1" not in whole
    assert "quay" not in whole.lower().replace("north-", "")
    assert files["people.csv"].count(b"\r\n") == 2
    assert b"OWNER_READER" in files["people.csv"]
    assert b"north-office" not in whole.encode()
    for name in ("gauges", "urgent-mails"):
        assert files[f"{name}.csv"].count(b"\r\n") == 1, name
    for name in ("uploads", "terms", "calendar-feeds", "changes"):
        assert f"{name}.csv" not in files


def test_a_row_names_its_machine_and_its_groove_as_people_do(world):
    [first, *_] = take(world.north, "findings.jsonl").decode().splitlines()

    found = json.loads(first)
    assert found["machine"] == "MH-1"
    assert {"groove", "rope", "detail", "readings", "grade"} <= set(found)
    assert "contractor_id" not in found


def test_a_text_that_a_spreadsheet_would_run_is_made_plain(world):
    Person.objects.filter(username="north-office").update(last_name="=HYPERLINK(1)")

    assert b"'=HYPERLINK(1)" in take(world.north, "people.csv")


def test_a_large_table_goes_out_piece_by_piece(world):
    callers.confine(world.north)
    machine = factories.machine(world.north.scope())
    estates.assess(world.north, machine, findings=1500)

    pieces = list(
        exporting.json_line_pieces(
            scope=world.north.scope(), outgoing=everything.outgoing()["findings"]
        )
    )

    assert len(pieces) == 2
    assert b"".join(pieces).count(b"\n") == 1502


def test_the_server_takes_it_out_by_hand(world, tmp_path):
    path, said = tmp_path / "all.zip", StringIO()

    call_command("export_contractor", path, contractor="north", stdout=said)
    call_command(
        "export_contractor",
        tmp_path / "lines.zip",
        contractor="north",
        json_lines=True,
        stdout=said,
    )

    mine = unpacked(path.read_bytes())
    theirs = unpacked(take(world.north, "everything.zip"))
    # Whoever asks over the API has used a token meanwhile.
    for files in (mine, theirs):
        del files["tokens.csv"]
    assert mine == theirs
    with pytest.raises(CommandError, match="exists"):
        call_command("export_contractor", path, contractor="north")
    with pytest.raises(CommandError, match="no contractor 'east'"):
        call_command("export_contractor", tmp_path / "e.zip", contractor="east")
