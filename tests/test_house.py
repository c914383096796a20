"""How large the house is, counted from a small one."""

from tests.benchmarks import house

DEF = "def f():\n" + '    """A.\n' + "    b\n" * 30 + '    """\n' + "    x = 1\n" * 40


def test_long_functions_and_shared_names_are_counted(tmp_path):
    for app in house.APPS:
        (tmp_path / app / "migrations").mkdir(parents=True)
        (tmp_path / app / "migrations/one.py").write_text("class Same: ...\n")
    (tmp_path / "fleet/one.py").write_text("class Same: ...\nclass Command: ...\n")
    (tmp_path / "reports/two.py").write_text("class Same: ...\nclass Command: ...\n")
    (tmp_path / "reports/three.py").write_text(DEF)

    assert house.count(folder=tmp_path) == {
        "modules": 3,
        "lines": 77,
        "long": 1,
        "long_without_docstrings": 0,
        "shared_names": 1,
        "classes_sharing": 2,
    }
    told = house.which(folder=tmp_path)
    assert told["Same"] == [
        str(tmp_path / "fleet/one.py"),
        str(tmp_path / "reports/two.py"),
    ]
    assert told[str(tmp_path / "reports/three.py")] == ["f: 73 lines"]
