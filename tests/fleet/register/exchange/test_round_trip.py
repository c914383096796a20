"""What is taken out can be brought in again, and is then the same."""

import json
import zipfile
from datetime import UTC, date, datetime
from io import BytesIO

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleet.models import Machine, Owner, RopeInGroove, Work
from fleet.platform.database import tenancy
from fleet.register.exchange import exporting
from fleet.register.exchange.register import REGISTER, RESOURCES
from tests.fleet.register.exchange import files

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _any_letter_prints(settings):
    # Here names are any text; which of them print, tests/fleet/register/test_names.py
    # shows.
    settings.FIRST_UNPRINTABLE = f"{__name__}.nothing_refused"


def nothing_refused(text):
    return None


# Fault 53: what begins a formula, and what looks like our own prefix.
NASTY = [
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\ttab",
    "\rreturn",
    "|pipe",
    "%percent",
    "'quoted",
    "''twice",
    "'=both",
    ' "in, quotes"\r\nand lines; ',
    "＝wide",
    "Źródlana Łąka",
    " ",
]


def test_a_whole_portfolio_is_the_same_after_going_out_and_in():
    out = files.take_all_out(files.demo_scope())
    scope = files.empty_scope()

    outcomes = files.bring_all_in(scope, out)

    assert [outcome.errors for outcome in outcomes] == [()] * len(REGISTER)
    assert files.take_all_out(scope) == out
    assert all(outcome.created == outcome.rows > 0 for outcome in outcomes)


def test_the_same_files_again_change_nothing():
    scope = files.demo_scope()
    out = files.take_all_out(scope)
    before = list(Machine.objects.within(scope).values())

    outcomes = files.bring_all_in(scope, out)

    assert all(outcome.unchanged == outcome.rows for outcome in outcomes)
    assert list(Machine.objects.within(scope).values()) == before


def test_every_rope_comes_back_into_its_grooves():
    first = files.demo_scope()
    seats = _seats(first)
    scope = files.empty_scope()

    files.bring_all_in(scope, files.take_all_out(first))

    assert _seats(scope) == seats
    assert {number for *_, number in seats} == {1, 2}, "double wrap has two passes"


def _seats(scope):
    tenancy.confine(contractor_id=scope.contractor_id)
    return set(
        RopeInGroove.objects.within(scope).values_list(
            "rope__rope_set__machine__code",
            "rope__rope_set__fitted_on",
            "rope__number",
            "groove__number",
            "pass_number",
        )
    )


def test_two_works_of_one_kind_on_one_day_stay_two():
    first = files.demo_scope()
    machine = Machine.objects.within(first).first()
    for note in ("before noon", "after noon", "after noon"):
        Work.objects.create(
            contractor_id=first.contractor_id,
            machine=machine,
            kind="LUBRICATION",
            done_on=date(2025, 3, 4),
            note=note,
        )
    out = files.take_all_out(first)
    scope = files.empty_scope()

    files.bring_all_in(scope, out)

    assert files.take_all_out(scope) == out
    assert Work.objects.within(scope).filter(done_on=date(2025, 3, 4)).count() == 3


@pytest.mark.parametrize("text", NASTY)
def test_text_that_could_run_is_defused_and_comes_back(text):
    # Fault 53 (OWASP CSV Injection; ASVS 5.0, 1.2.10; confirmed).
    scope = files.empty_scope()
    Owner.objects.create(contractor_id=scope.contractor_id, code="o", name=text)
    out = files.take_out(scope, "owners")
    Owner.objects.within(scope).update(name="other")

    outcome = files.bring_in(scope, "owners", out)

    assert outcome.errors == ()
    assert Owner.objects.within(scope).get().name == text


@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    name=st.text(
        st.characters(exclude_categories=["Cs"], exclude_characters="\0"),
        min_size=1,
        max_size=60,
    ),
    mass=st.floats(min_value=0, max_value=1e12, exclude_min=True, exclude_max=True),
    spread=st.floats(min_value=0, max_value=1e9, exclude_max=True),
)
def test_any_text_and_any_number_come_back(transactional_scope, name, mass, spread):
    scope, out = transactional_scope, None
    Machine.objects.within(scope).update(
        name=name, car_mass_kg=mass, uncertainties={"car_mass_kg": spread}
    )

    out = files.take_out(scope, "machines")
    outcome = files.bring_in(scope, "machines", out)

    assert (outcome.errors, outcome.unchanged) == ((), 1)


@pytest.fixture
def transactional_scope():
    scope = files.empty_scope()
    files.bring_in(scope, "owners", "code,name\no,Owner\n")
    files.bring_in(
        scope,
        "buildings",
        "owner,code,name,time_zone,criteria_set\no,b,B,Europe/Lisbon,EN_81_20\n",
    )
    files.bring_in(scope, "machines", "building,code,name,drive_kind\nb,m,M,GEARED\n")
    return scope


def test_json_lines_say_the_same_with_what_the_server_notes():
    scope = files.demo_scope()
    outgoing = exporting.Register(resource=RESOURCES["sheaves"])

    lines = b"".join(exporting.json_line_pieces(scope=scope, outgoing=outgoing))
    records = [json.loads(line) for line in lines.splitlines()]

    stored = {row.pk: row for row in RESOURCES["sheaves"].model.objects.all()}
    assert {record["id"] for record in records} == set(stored)
    for record in records:
        row = stored[record["id"]]
        assert record["machine"] == row.machine.code
        assert record["fitted_on"] == row.fitted_on.isoformat()
        assert record["pitch_diameter_new_mm"] == row.pitch_diameter_new_mm
        assert record["sources"] == row.sources


def test_the_archive_holds_every_file():
    scope = files.demo_scope()
    outgoing = [exporting.Register(resource=resource) for resource in REGISTER]

    pieces = exporting.archive_pieces(
        scope=scope, outgoing=outgoing, at=datetime(2026, 6, 1, tzinfo=UTC)
    )

    archive = zipfile.ZipFile(BytesIO(b"".join(pieces)))
    assert archive.testzip() is None
    found = {
        name.removesuffix(".csv"): archive.read(name) for name in archive.namelist()
    }
    assert found == files.take_all_out(scope)


def test_nothing_of_another_contractor_is_taken_out(north, south):
    # Rows of both contractors bear the same codes; the marked ones are the south's.
    tenancy.confine(contractor_id=south.contractor.pk)
    Owner.objects.update(name="CANARY")

    out = files.take_out(north.scope(), "owners")

    assert b"CANARY" not in out
    assert out.count(b"\r\n") == 3
    assert b"CANARY" in files.take_out(south.scope(), "owners")


def test_an_owners_reader_takes_out_the_own_buildings_only(north):
    out = files.take_out(north.scope("OWNER_READER"), "machines")

    assert b"MH-1" in out
    assert b"QC-1" not in out
