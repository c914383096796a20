"""Files from a disk: which is which, and packed files that are more than they seem."""

import tracemalloc
import zipfile

import pytest

from fleet.register.exchange import folders
from fleet.register.exchange.folders import NotOfTheRegister, TooMuchPacked
from fleet.register.exchange.problems import NotATable


def pack(path, entries):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in entries:
            archive.writestr(name, content)
    return path


def test_a_packed_file_is_read_in_the_order_in_which_it_comes_in(tmp_path):
    path = pack(tmp_path / "r.zip", [("machines.csv", "code"), ("owners.csv", "name")])

    found = folders.read_files(paths=[path])

    assert [file.resource.name for file in found] == ["owners", "machines"]


def test_a_small_file_that_unpacks_to_a_large_one_is_refused(tmp_path, monkeypatch):
    # Fault 25: 10 kB that would be 10 MB.
    monkeypatch.setattr(folders, "MOST_BYTES", 2_000_000)
    path = pack(tmp_path / "bomb.zip", [("owners.csv", b"0" * 10_000_000)])
    assert path.stat().st_size < 20_000
    tracemalloc.start()

    with pytest.raises(TooMuchPacked, match="more than 2,000,000 bytes"):
        folders.read_files(paths=[path])

    assert tracemalloc.get_traced_memory()[1] < 6_000_000
    tracemalloc.stop()


def test_many_small_entries_count_together(tmp_path, monkeypatch):
    # Fault 25.
    monkeypatch.setattr(folders, "MOST_BYTES", 1_500)
    entries = [("owners.csv", b"0" * 1000), ("machines.csv", b"0" * 1000)]
    path = pack(tmp_path / "two.zip", entries)

    with pytest.raises(TooMuchPacked):
        folders.read_files(paths=[path])


def test_a_packed_file_of_thousands_of_entries_is_refused(tmp_path):
    # Fault 25.
    path = pack(tmp_path / "many.zip", [(f"{n}.csv", "") for n in range(2000)])

    with pytest.raises(TooMuchPacked, match="2000 files"):
        folders.read_files(paths=[path])


@pytest.mark.parametrize("name", ["../owners.csv", "a/owners.csv", "owners.csv.exe"])
def test_an_entry_with_another_name_is_none_of_the_registers(tmp_path, name):
    path = pack(tmp_path / "r.zip", [(name, "code")])

    with pytest.raises(NotOfTheRegister):
        folders.read_files(paths=[path])


def test_a_broken_packed_file_is_said_to_be_broken(tmp_path):
    whole = pack(tmp_path / "r.zip", [("owners.csv", "code,name\n" * 500)])
    broken = tmp_path / "broken.zip"
    content = bytearray(whole.read_bytes())
    content[60:80] = bytes(20)
    broken.write_bytes(content)
    (tmp_path / "text.zip").write_text("code,name")

    for path in (broken, tmp_path / "text.zip"):
        with pytest.raises(NotATable, match="cannot be unpacked"):
            folders.read_files(paths=[path])
