"""Both lists of pinned requirements are closed: nothing is left to be looked up.

With hashes pip refuses whatever a pinned distribution asks for and the list does not
name, extras included. Proven from what is installed, without a network: whatever
others release later cannot turn this red.
"""

import re
from dataclasses import dataclass, field
from importlib import metadata
from pathlib import Path

import pytest
from packaging.markers import default_environment
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parent.parent
LISTS = ("requirements.txt", ".ci/requirements.txt")
TARGETS = [
    {**default_environment(), **python, **system}
    for python in (
        {"python_version": f"3.{minor}", "python_full_version": f"3.{minor}.0"}
        for minor in (11, 12, 13)
    )
    for system in (
        {"sys_platform": "linux", "platform_system": "Linux"},
        {"sys_platform": "darwin", "platform_system": "Darwin"},
    )
]


@dataclass
class Pin:
    """One distribution of a list, as it holds in one environment."""

    version: str
    extras: set[str] = field(default_factory=set)


def lines(path):
    """Return the requirements of a list, each with its hashes."""
    joined = (ROOT / path).read_text(encoding="utf-8").replace("\\\n", " ")
    return [
        line for line in joined.splitlines() if line.strip() and line.strip()[0] != "#"
    ]


def pinned(path, target):
    """Return what a list pins in one environment, by canonical name."""
    pins = {}
    for line in lines(path):
        wanted = Requirement(line.split(" --hash=")[0].strip())
        if wanted.marker is None or wanted.marker.evaluate(target):
            (exactly,) = wanted.specifier
            assert exactly.operator == "=="
            pin = pins.setdefault(canonicalize_name(wanted.name), Pin(exactly.version))
            assert pin.version == exactly.version
            pin.extras |= wanted.extras
    return pins


def asked_for(name, extras, target):
    """Return what an installed distribution requires with these extras."""
    for words in metadata.requires(name) or ():
        wanted = Requirement(words)
        if wanted.marker is None or any(
            wanted.marker.evaluate({**target, "extra": extra})
            for extra in ("", *extras)
        ):
            yield wanted


def lacking(pins, target):
    """Return what installed distributions of the list ask for and it does not pin."""
    for name, pin in sorted(pins.items()):
        try:
            installed = metadata.version(name)
        except metadata.PackageNotFoundError:
            continue  # for another system
        if installed != pin.version:
            continue  # pinned otherwise for this version of Python
        for wanted in asked_for(name, pin.extras, target):
            got = pins.get(canonicalize_name(wanted.name))
            if got is None:
                yield f"{name} asks for {wanted}: not in the list"
            elif not wanted.specifier.contains(got.version, prereleases=True):
                yield f"{name} asks for {wanted}: {got.version} is pinned"
            elif not wanted.extras <= got.extras:
                yield f"{name} asks for {wanted}: the extra is not in the list"


@pytest.mark.parametrize("path", LISTS)
@pytest.mark.parametrize(
    "target", TARGETS, ids=lambda t: f"{t['sys_platform']}-{t['python_version']}"
)
def test_every_requirement_of_every_pinned_distribution_is_in_the_list(path, target):
    pins = pinned(path, target)

    assert list(lacking(pins, target)) == []


def test_every_pin_of_the_larger_list_is_installed_and_looked_at():
    pins = pinned(".ci/requirements.txt", default_environment())
    looked_at = {name for name in pins if metadata.version(name) == pins[name].version}

    assert len(looked_at) > 90
    assert looked_at == set(pins)


@pytest.mark.parametrize("path", LISTS)
def test_every_pin_has_hashes_and_no_list_names_an_address(path):
    assert all(re.search(r" --hash=sha256:[0-9a-f]{64}", line) for line in lines(path))
    assert "://" not in "".join(lines(path))


def test_every_pin_of_the_smaller_list_stands_in_the_larger():
    smaller, larger = (
        {line.split(" --hash=")[0].strip() for line in lines(path)} for path in LISTS
    )

    assert smaller <= larger


@pytest.mark.parametrize("name", ["pytest-cov", "pgmq"])
def test_a_stripped_extra_is_found(name):
    target = default_environment()
    pins = pinned(".ci/requirements.txt", target)
    for each in pins.values():
        each.extras = set()

    assert any(line.startswith(f"{name} asks for") for line in lacking(pins, target))
