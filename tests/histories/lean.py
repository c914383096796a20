"""What lives lean to: everything, or the neighbourhood of one fault."""

from dataclasses import dataclass

from tests.histories import machines
from tests.histories.changes import HEALED, LESS_READ, WORSE

WAYS = ("word", "beside", "elsewhere", "correct", "review", "work", "release")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lean:
    """What lives lean to, so that a fault of one sort is met sooner.

    `bad` are the kinds that go wrong, `worse` those that a twin reads worse where they
    are others, `register` the values that are missing, with the
    parts they stand in, `changes` the sorts of change; empty for any. No twin differs
    before the step `since`.
    """

    forms: tuple[str, ...] = machines.FORMS
    sets: tuple[str, ...] = machines.SETS
    bad: tuple[str, ...] = ()
    worse: tuple[str, ...] = ()
    register: tuple[tuple[str, str], ...] = ()
    changes: tuple[str, ...] = (WORSE, LESS_READ, HEALED)
    ways: tuple[str, ...] = (
        "word",
        "beside",
        "elsewhere",
        "correct",
        "review",
        "work",
        "release",
    )
    worse_register: float = 0.3
    # How often a visit reads something bad, and how often a free twin then differs.
    often: float = 0.45
    twins: float = 0.5
    since: int = 1
    # How often a twin reads worse what is bad already, how often it counts over 30 d,
    # and how often more in a part than in the whole.
    near: float = 0.6
    otherwise: float = 0.3
    above: float = 0.0
    # What machines are, by part and name of the register, and how their rims stand:
    # the metal over the maker's minimum, its run-out, and the marks where it is read.
    given: tuple[tuple[str, str, object], ...] = ()
    metal_over_mm: float | None = None
    runout_mm: float | None = None
    rim_marks: str = "ABCD"
    # Whether each life reads some of what only some lives read, under an odd name.
    further: bool = False
    # What each life reads beside what all read, by its name in `further`; "" for any.
    reads: str = ""
    # By how much numbers get worse, where not by what is usual of their kind.
    by: tuple[float, ...] = ()
    # Kinds that nobody reads.
    never_read: tuple[str, ...] = ()


ANY = Lean(further=True)
# What disagrees with the register, beside what wears.
READING_MASSES = Lean(
    further=True,
    reads="masses",
    worse=("car_mass", "balance_load"),
    changes=(WORSE, WORSE, LESS_READ),
    twins=0.8,
)
