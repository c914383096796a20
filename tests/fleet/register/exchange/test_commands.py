"""The register in and out by hand."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Contractor, Machine
from tests import callers
from tests.fleet.register.exchange import files

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def no_bell(monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)


def run(*words):
    said, complained = StringIO(), StringIO()
    try:
        call_command(*map(str, words), stdout=said, stderr=complained)
    except CommandError as problem:
        return said.getvalue(), f"{complained.getvalue()}{problem}"
    return said.getvalue(), complained.getvalue()


def test_what_one_server_writes_another_reads(north, tmp_path):
    Contractor.objects.create(name="Second", code="second")
    packed = tmp_path / "register.zip"

    written = run("export_register", packed, "--contractor", "north")
    looked = run("import_register", packed, "--contractor", "second")
    stored = run("import_register", packed, "--contractor", "second", "--store")

    assert written == (f"Written to {packed}.\n", "")
    assert "machines: 2 rows, 2 created, 0 changed, 0 unchanged\n" in looked[0]
    assert looked[0].endswith("Only looked; --store stores it.\n")
    assert stored[0].endswith("Stored.\n")
    second = files.Scope(contractor_id=Contractor.objects.get(code="second").pk)
    assert files.take_all_out(second) == files.take_all_out(north.scope())


def test_faults_are_told_and_nothing_is_stored(north, tmp_path):
    (tmp_path / "machines.csv").write_text("code,car_mass_kg\nMH-1,heavy\n")

    _, told = run("import_register", tmp_path, "--contractor", "north", "--store")

    assert "machines, row 2, column car_mass_kg: 'heavy' is not a number" in told
    assert told.endswith("Nothing was stored: mend the rows named above.")
    callers.confine(north)
    assert Machine.objects.get(code="MH-1").car_mass_kg == 1200


@pytest.mark.parametrize(
    ("name", "words", "why"),
    [
        ("lifts.csv", (), "lifts.csv is none of owners.csv"),
        ("owners.csv", ("--encoding", "utf-16"), "save the file as UTF-8"),
    ],
)
def test_what_is_no_file_of_the_register_is_refused(north, tmp_path, name, words, why):
    (tmp_path / name).write_text("code,name\n")

    _, told = run("import_register", tmp_path / name, "--contractor", "north", *words)

    assert why in told


def test_an_unknown_contractor_is_refused(db, tmp_path):
    for command in ("import_register", "export_register"):
        _, told = run(command, tmp_path / "x.zip", "--contractor", "nobody")
        assert told == "There is no contractor 'nobody'."


def test_a_file_that_is_there_is_not_written_over(north, tmp_path):
    there = tmp_path / "there.zip"
    there.write_text("kept")

    _, told = run("export_register", there, "--contractor", "north")

    assert "File exists" in told
    assert there.read_text() == "kept"
