"""Every room's source is the one that its version stands for."""

from pathlib import Path

import pytest

from inspections import versions
from tests.versions import __main__ as command
from tests.versions import cases, rooms
from tests.versions.rooms import ROOMS, ROOT, Ledger

LIMIT = "inspections/engineering/limit.py"


@pytest.fixture(scope="module")
def ledger():
    """The ledger of the source as it is; every module is read for it, once."""
    return rooms.present()


def changed(ledger: Ledger, path: str = LIMIT, **raised: int) -> Ledger:
    """Return a ledger with another module, and some versions raised."""
    numbers = {
        room: number + raised.get(room, 0) for room, number in ledger.versions.items()
    }
    return Ledger(versions=numbers, modules=ledger.modules | {path: "0" * 16})


def test_the_ledger_fits_the_source(ledger):
    assert list(rooms.faults(written=command.written(), now=ledger)) == []


def test_the_ledger_says_what_it_was_given(ledger):
    assert rooms.read(ledger.text) == ledger


@pytest.mark.parametrize(
    ("room", "path"),
    [
        ("judging", LIMIT),
        ("judging", "inspections/inputs/noise.py"),
        ("judging", "inspections/assessment/assessing.py"),
        ("forecasting", "inspections/projection/rate.py"),
        ("deciding", "inspections/decisions/ranking.py"),
        ("reporting", "reports/composition/masthead.py"),
    ],
)
def test_a_changed_module_asks_for_its_room_s_version(ledger, room, path):
    assert path in ledger.modules

    (said,) = rooms.faults(written=ledger, now=changed(ledger, path))

    assert said.startswith(f"{room}: {path} changed under version")
    assert f"raise {room}" in said


def test_a_new_and_a_removed_module_are_changes_too(ledger):
    fewer = Ledger(
        versions=ledger.versions,
        modules={p: m for p, m in ledger.modules.items() if p != LIMIT},
    )

    assert len(list(rooms.faults(written=fewer, now=ledger))) == 1
    assert len(list(rooms.faults(written=ledger, now=fewer))) == 1


def test_a_raised_room_is_recorded_and_a_lowered_one_refused(ledger):
    (raised,) = rooms.faults(written=ledger, now=changed(ledger, judging=1))
    (lowered,) = rooms.faults(written=ledger, now=changed(ledger, judging=-1))

    assert raised.endswith("`python -m tests.versions record`")
    assert "put them back" in lowered


@pytest.mark.parametrize(
    ("source", "same"),
    [
        (
            '"""Other words."""\nA = 1  # why\n\n\ndef f():\n    "said"\n    return A',
            True,
        ),
        ('"""Words."""\nA = 1\ndef f():\n    return (A)\n', True),
        ('"""Words."""\nA = 2\ndef f():\n    return A\n', False),
        ('"""Words."""\nA = 1\ndef f():\n    return -A\n', False),
    ],
)
def test_words_and_format_are_no_change_of_source(source, same):
    written = '"""Words."""\n\nA = 1\n\n\ndef f():\n    """Say."""\n    return A\n'

    is_same = rooms.fingerprint(source) == rooms.fingerprint(written)

    assert is_same is same


@pytest.fixture
def elsewhere(tmp_path, monkeypatch, ledger):
    """Return a folder with a ledger and the lines of raised versions."""
    for name in (rooms.LEDGER, rooms.RAISED):
        path = tmp_path / name
        path.parent.mkdir(parents=True)
        path.write_text((ROOT / name).read_text("utf-8"), "utf-8")
    monkeypatch.setattr(command, "ROOT", tmp_path)
    return tmp_path


def count_raised(folder: Path, room: str) -> int:
    names: dict[str, tuple[str, ...]] = {}
    exec((folder / rooms.RAISED).read_text("utf-8"), names)
    return len(names[room.upper()])


@pytest.mark.parametrize("room", ROOMS)
def test_raising_adds_one_line_to_one_room(elsewhere, room):
    before = {each: count_raised(elsewhere, each) for each in ROOMS}

    command.put_up(room=room, why='a limit "corrected"\nin \\ EN 81-20')

    after = {each: count_raised(elsewhere, each) for each in ROOMS}
    assert after == before | {room: before[room] + 1}


def test_only_raised_and_proven_rooms_are_written(elsewhere, monkeypatch, ledger):
    now = changed(changed(ledger, judging=1), "inspections/decisions/ranking.py")
    monkeypatch.setattr(rooms, "present", lambda: now)

    command.write(rooms_proven=[])

    (left,) = rooms.faults(written=command.written(), now=now)
    assert left.startswith("deciding: inspections/decisions/ranking.py")
    command.write(rooms_proven=["deciding"])
    assert list(rooms.faults(written=command.written(), now=now)) == []


def test_a_conflict_in_the_ledger_is_read_as_the_commit_has_it(elsewhere, monkeypatch):
    text = (elsewhere / rooms.LEDGER).read_text("utf-8")
    (elsewhere / rooms.LEDGER).write_text(f"<<<<<<< HEAD\n{text}=======\n", "utf-8")
    asked = []
    monkeypatch.setattr(command, "_git", lambda *words: asked.append(words) or text)

    assert command.written() == rooms.read(text)
    assert asked == [("show", f"HEAD:{rooms.LEDGER}")]


def test_different_answers_are_no_refactoring():
    old = {"judging": ["a", "b", "c"]}

    assert command._differences("judging", old, {"judging": ["a", "b", "c"]}, "x") == []
    (said,) = command._differences("judging", old, {"judging": ["a", "d", "c"]}, "x")
    assert said.startswith("judging: 1 of 3 answers differ")
    assert "first: 1" in said
    fewer = command._differences("judging", old, {"judging": ["a", "b"]}, "x")
    assert "their number" in fewer[0]


def test_the_machines_cover_every_form_family_roping_and_gap():
    from fleet.register.choices import GrooveForm
    from inspections.engineering import criteria

    seen = [cases.case(number) for number in range(0, cases.COUNT, 7)]

    assert cases.COUNT >= 1000
    assert {each.geometry.form for each in seen} == set(GrooveForm.values)
    assert {each.criteria.code for each in seen} == {each.code for each in criteria.ALL}
    assert {each.machine.roping_ratio for each in seen} == set(cases.ROPINGS)
    assert {each.machine.wrap for each in seen} >= {"SINGLE", "DOUBLE"}
    for name in cases.MAY_LACK["machine"]:
        assert {getattr(each.machine, name) is None for each in seen} == {True, False}
    assert any(not each.readings for each in seen)


def test_the_same_machine_is_made_every_time():
    def said(snapshot):
        return [(r.kind, r.value, r.word, r.taken_at) for r in snapshot.readings]

    assert said(cases.case(17)) == said(cases.case(17))
    assert said(cases.case(17)) != said(cases.case(18))


def test_values_have_the_same_fingerprint_in_every_process():
    from datetime import date

    from inspections.engineering import criteria

    value = {"b": frozenset({"x", "y"}), "a": (1.5, date(2026, 1, 1), None)}
    turned = dict(reversed(value.items()))

    assert versions.fingerprint(value) == versions.fingerprint(turned)
    assert versions.fingerprint(value) == "68e8abc144c7422f"
    marks = {versions.fingerprint(each) for each in criteria.ALL}
    assert len(marks) == len(criteria.ALL)
    with pytest.raises(TypeError, match="object has no fingerprint"):
        versions.fingerprint([object()], strict=True)
