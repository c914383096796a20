"""A record made by its slots is what the dataclass makes of it, only sooner."""

import copy
import inspect
import pickle
from dataclasses import FrozenInstanceError, dataclass, field, fields, replace

import pytest

from inspections.records import made_by_slots


@dataclass(frozen=True, slots=True)
class Plain:
    first: int
    second: str = "two"
    many: list[int] = field(default_factory=list)
    named: float = field(default=1.0, kw_only=True)


@made_by_slots
@dataclass(frozen=True, slots=True)
class Quick:
    first: int
    second: str = "two"
    many: list[int] = field(default_factory=list)
    named: float = field(default=1.0, kw_only=True)


@made_by_slots
@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    size: int

    def __post_init__(self) -> None:
        if self.size < 0:
            raise ValueError(self.size)


def _values(record):
    return [getattr(record, each.name) for each in fields(record)]


@pytest.mark.parametrize(
    ("given", "named"),
    [((1,), {}), ((1, "b"), {"named": 2.0}), ((1, "b", [3]), {}), ((), {"first": 4})],
)
def test_record_has_the_values_that_a_dataclass_gives_it(given, named):
    assert _values(Quick(*given, **named)) == _values(Plain(*given, **named))


@pytest.mark.parametrize(
    ("given", "named"), [((), {}), ((1, 2, [], 3.0), {}), ((1,), {"other": 2})]
)
def test_record_refuses_what_a_dataclass_refuses(given, named):
    for record in (Plain, Quick):
        with pytest.raises(TypeError):
            record(*given, **named)


def test_record_is_frozen_compared_copied_and_replaced_as_before():
    one = Quick(1, "b")

    with pytest.raises(FrozenInstanceError):
        one.first = 2
    assert one == Quick(1, "b") != replace(one, first=2)
    assert copy.copy(one) == pickle.loads(pickle.dumps(one)) == one
    assert str(one) == "Quick(first=1, second='b', many=[], named=1.0)"


def test_default_that_is_made_anew_is_no_others():
    assert Quick(1).many is not Quick(1).many


def test_record_still_checks_itself():
    with pytest.raises(ValueError, match="-1"):
        Checked(size=-1)


def test_record_takes_its_parameters_as_the_dataclass_does():
    taken = [
        [(each.name, each.kind, each.annotation) for each in found.parameters.values()]
        for found in map(inspect.signature, (Plain, Quick))
    ]

    assert taken[0] == taken[1]


def test_field_that_nobody_may_give_is_refused():
    @dataclass(frozen=True, slots=True)
    class Hidden:
        first: int = field(init=False, default=1)

    with pytest.raises(TypeError, match="Hidden"):
        made_by_slots(Hidden)
