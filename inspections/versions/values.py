"""A fingerprint of constants: the same values give the same one in every process."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import fields, is_dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import Enum
from importlib import import_module
from pkgutil import walk_packages
from types import ModuleType
from typing import Any


def fingerprint(value: Any, *, strict: bool = False) -> str:
    """Return a fingerprint of a record, a collection or a plain value.

    What is none of these counts by the name of its type; with `strict` it raises
    TypeError.
    """
    return hashlib.sha256(_said(value, strict).encode()).hexdigest()[:16]


def constants(*, packages: Iterable[str]) -> Iterator[tuple[str, Any]]:
    """Yield the constants of all modules of packages, by name."""
    for package in packages:
        for module in _modules(package):
            for name, value in sorted(vars(module).items()):
                if name.isupper() and not isinstance(value, ModuleType | type):
                    yield f"{module.__name__}.{name}", value


def _modules(package: str) -> Iterator[ModuleType]:
    whole = import_module(package)
    yield whole
    names = [each.name for each in walk_packages(whole.__path__, f"{package}.")]
    for name in sorted(names):
        yield import_module(name)


def _said(value: Any, strict: bool) -> str:
    """Return a value as text that does not depend on addresses or the order of sets."""

    def inner(value: Any) -> str:
        return _said(value, strict)

    if isinstance(value, Enum):
        return f"{type(value).__name__}.{value.name}={value.value!r}"
    if is_dataclass(value) and not isinstance(value, type):
        # What is worked out from the other fields says nothing more.
        own = [f.name for f in fields(value) if f.init]
        said = [f"{name}={inner(getattr(value, name))}" for name in own]
        return f"{type(value).__name__}({', '.join(said)})"
    if isinstance(value, Mapping):
        pairs = sorted(f"{inner(key)}: {inner(each)}" for key, each in value.items())
        return f"{{{', '.join(pairs)}}}"
    if isinstance(value, Set):
        return f"{{{', '.join(sorted(map(inner, value)))}}}"
    if isinstance(value, tuple | list):
        return f"({', '.join(map(inner, value))})"
    if isinstance(value, _PLAIN):
        return repr(value)
    if strict:
        raise TypeError(f"{type(value).__qualname__} has no fingerprint")
    # Its address is not its value.
    return str(getattr(value, "__qualname__", type(value).__qualname__))


_PLAIN = (str, bytes, int, float, Decimal, date, timedelta, type(None), range)
