"""Knowing less, or something worse, never makes a machine look better."""

import os
from datetime import timedelta

import pytest
from django.db import transaction
from hypothesis import HealthCheck, note, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule

from tests.histories import estate, known, lives

pytestmark = pytest.mark.django_db

# Many more, and longer ones: `.ci/long histories` (tests.benchmarks.verdicts).
LIVES = int(os.environ.get("ROPESEAT_LIVES", "2"))
STEPS = 3
TOGETHER = 8
# Hypothesis draws, so that a failing history is made as short as it gets.
DRAWN = st.randoms(use_true_random=False)


class History(RuleBasedStateMachine):
    """One machine and its twins through the service, step after step."""

    def __init__(self) -> None:
        super().__init__()
        self.known: set[str] = set()
        self.undone = transaction.atomic()
        self.undone.__enter__()

    @initialize(random=DRAWN)
    def begins(self, random):
        life = lives.begin(random, "h")
        note(f"{life.sort}")
        self.estate = estate.Estate(code="history", some=[life])
        self.holds(self.estate.advance(random))

    @rule(random=DRAWN)
    def lives_on(self, random):
        self.holds(self.estate.advance(random))

    def holds(self, violations):
        new = [each for each in violations if known.name_of(each) is None]
        assert not new, "\n".join(map(str, new))
        NAMES.update(name for each in violations if (name := known.name_of(each)))

    def teardown(self):
        transaction.set_rollback(True)
        self.undone.__exit__(None, None, None)


# Names of the known violations that were met.
NAMES: set[str] = set()


def test_no_history_makes_a_machine_look_better():
    NAMES.clear()

    History.TestCase.settings = settings(
        max_examples=LIVES,
        stateful_step_count=STEPS,
        deadline=timedelta(minutes=5),
        database=None,
        # The same lives in every run; the benchmark looks for others.
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )
    History.TestCase().runTest()

    if NAMES:
        pytest.xfail("; ".join(sorted(NAMES)))


def test_no_life_of_many_at_once_looks_better():
    found = []

    with estate.undone():
        estate.live(seed=5, count=TOGETHER, steps=3, told=found.append)

    new = [str(each) for each in found if known.name_of(each) is None]
    assert not new, "\n".join(new)
    if found:
        pytest.xfail("; ".join(sorted({known.name_of(each) for each in found})))


def test_a_life_is_lived_again_from_its_seed():
    told = []
    for _ in range(2):
        with estate.undone():
            lived = estate.live(seed=5, count=1, steps=2, told=lambda _: None)
        told.append({c: (s.state, s.verdicts) for c, s in lived.standing.items()})

    assert told[0] == told[1]
    assert told[0]
