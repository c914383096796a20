"""What a file of this folder takes from its publication, told in numbers.

Each test file has a ``PRINTED``. ``python -m tests.published`` counts them.
"""

import importlib
import pkgutil
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction

import tests.published
from inspections.engineering.source import Certainty

Numbers = Mapping[str, Sequence[float | Fraction]]


class About(StrEnum):
    """What printed values are about."""

    LIFTS = "ropes, grooves or lift traction"
    OTHER = "something else"


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """What was taken from one publication.

    ``source`` is a name that can be looked up. ``computed`` are printed results that
    the project's code must give from other printed numbers; ``transcribed`` are printed
    numbers that the code holds as they are. Both go from a quantity to its values.
    ``data`` says what forecasts are tried on, where no printed value is compared.
    """

    source: str
    status: Certainty = Certainty.CONFIRMED
    about: About = About.OTHER
    computed: Numbers = field(default_factory=dict)
    transcribed: Numbers = field(default_factory=dict)
    data: str = ""

    @property
    def computed_count(self) -> int:
        """Printed values that code computes."""
        return sum(len(each) for each in self.computed.values())

    @property
    def transcribed_count(self) -> int:
        """Printed values that the code holds as they are."""
        return sum(len(each) for each in self.transcribed.values())

    @property
    def lifts_count(self) -> int:
        """Those of the computed that are about ropes, grooves or lift traction."""
        return self.computed_count if self.about is About.LIFTS else 0


def files() -> Iterator[tuple[str, Printed]]:
    """Yield each test file of this folder with what it takes from its publication."""
    for module in pkgutil.iter_modules(tests.published.__path__):
        if module.name.startswith("test_") and module.name != "test_count":
            path = f"{tests.published.__name__}.{module.name}"
            yield module.name, importlib.import_module(path).PRINTED


def table() -> str:
    """Return the table that ``docs/sources.md`` shows."""
    rows = ["file", "source", "status", "transcribed", "computed", "of these of lifts"]
    lines = [rows, ["---"] * len(rows)]
    found = list(files())
    for name, printed in found:
        counts = (
            printed.transcribed_count,
            printed.computed_count,
            printed.lifts_count,
        )
        taken = [str(count) for count in counts]
        if printed.data:
            taken = [printed.data, "-", "-"]
        lines.append([f"`{name}`", printed.source, printed.status, *taken])
    total = [
        sum(getattr(printed, count) for _, printed in found)
        for count in ("transcribed_count", "computed_count", "lifts_count")
    ]
    lines.append(["all", "", "", *(str(each) for each in total)])
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)
