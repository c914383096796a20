"""The text format that watchers of servers read: families of named samples.

Prometheus text exposition format 0.0.4, as its documentation describes it
(prometheus.io/docs/instrumenting/exposition_formats). Tests read it back with the
parser of the `prometheus-client` package, which writes what processes count.
"""

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

CONTENT_TYPE = "text/plain; version=0.0.4; charset=utf-8"

_NAME = re.compile(r"[a-z][a-z0-9_]*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One number, told apart from its family's others by labels."""

    value: float
    labels: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class MetricFamily:
    """Samples of one meaning; the unit ends the name."""

    name: str
    meaning: str
    samples: tuple[Sample, ...]
    kind: Literal["gauge", "counter"] = "gauge"


def text(*, families: Iterable[MetricFamily]) -> str:
    """Return the page of all families, in the order given.

    Raises ValueError for a name that the format does not take.
    """
    return "".join(line for family in families for line in _lines(family))


def _lines(family: MetricFamily) -> Iterable[str]:
    yield f"# HELP {_checked(family.name)} {_escaped(family.meaning)}\n"
    yield f"# TYPE {family.name} {family.kind}\n"
    for sample in family.samples:
        yield f"{family.name}{_labels(sample.labels)} {_number(sample.value)}\n"


def _labels(labels: Mapping[str, str]) -> str:
    if not labels:
        return ""
    pairs = (
        f'{_checked(name)}="{_escaped(value, quotes=True)}"'
        for name, value in labels.items()
    )
    return "{" + ",".join(pairs) + "}"


def _checked(name: str) -> str:
    if not _NAME.fullmatch(name):
        raise ValueError(
            f"name is {name!r}; it must be lower-case letters, digits and _, and begin "
            "with a letter"
        )
    return name


def _escaped(words: str, *, quotes: bool = False) -> str:
    escaped = words.replace("\\", r"\\").replace("\n", r"\n")
    return escaped.replace('"', r"\"") if quotes else escaped


def _number(value: float) -> str:
    if math.isnan(value):
        return "NaN"
    if math.isinf(value):
        return "+Inf" if value > 0 else "-Inf"
    return repr(value)
