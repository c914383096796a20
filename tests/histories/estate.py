"""Many lives at once through the service: one upload, one night, one look a step."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from typing import Any

from django.db import connection, transaction

from fleet.models import Machine, Membership
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.register import registry
from inspections import assessment, forecasts, reviews
from inspections.completion import complete
from inspections.completion.report import WorkReport
from inspections.intake.accepting import accept
from inspections.models import Reading
from tests.histories import entries, lives, machines, promises, releasing, state
from tests.histories.lean import ANY, Lean
from tests.histories.lives import Life
from tests.histories.promises import Violation
from tests.histories.state import Standing
from tests.histories.steps import Release, Review, Step, Visit, Work, steps_in_words

MOST = 1_000_000


class Refused(Exception):
    """The service has not taken a step that a technician could make."""


class Estate:
    """Some lives in one contractor's register; each step is made by all of them."""

    def __init__(self, *, code: str, some: Sequence[Life], seed: int = 0) -> None:
        self.lives = some
        self.seed = seed
        self.steps = 0
        _plan_for_full_tables()
        contractor = registry.register(
            portfolio=entries.portfolio(code=code, some=some)
        )
        tenancy.confine(contractor_id=contractor.pk)
        found = {
            m.person.username: m
            for m in Membership.objects.filter(contractor=contractor).select_related(
                "person"
            )
        }
        self.scopes = {
            name: _scope(contractor.pk, found[f"{code}-{name}"])
            for name in entries.PEOPLE
        }
        self.scope = self.scopes["office"]
        Membership.objects.filter(pk=self.scope.membership_id).update(
            qualification="examiner of ropes", competent_until=date(2099, 1, 1)
        )
        rows = Machine.objects.within(self.scope).values_list("code", "pk")
        self.ids: Mapping[str, int] = dict(rows)
        self.day = machines.FITTED
        self.standing: dict[str, Standing] = {c: Standing() for c in self.ids}
        self.number = -1

    def advance(self, random: Random) -> list[Violation]:
        """Let every life make a step; return what became better against a promise."""
        gap = 30 if self.number < 0 else random.choice((60, 180, 365))
        planned: dict[str, Sequence[Step]] = {}
        for life in self.lives:
            own = life.random or random
            step = life.assign(own, life.next(own, gap / 365.25))
            life.remember(step)
            planned |= life.twin_steps(step)
        return self.make(planned, days=gap)

    def make(
        self, planned: Mapping[str, Sequence[Step]], *, days: int
    ) -> list[Violation]:
        """Make planned steps some days later, and look at what is said then."""
        self.number += 1
        self.day += timedelta(days=days)
        longest = max(map(len, planned.values()))
        for turn in range(longest):
            at = datetime.combine(self.day, time(9 + turn), UTC)
            self._visits(
                {
                    code: steps[turn]
                    for code, steps in planned.items()
                    if turn < len(steps)
                },
                at,
            )
        self.steps += sum(map(len, planned.values()))
        before = self.standing
        self.look()
        return list(self._compared(before, planned))

    def look(self) -> None:
        """Assess and forecast every machine as the night does, and read what stands."""
        at = datetime.combine(self.day, time(22), UTC)
        ids = list(self.ids.values())
        assessment.assess(scope=self.scope, machine_ids=ids, as_of=at)
        forecasts.project(scope=self.scope, machine_ids=ids, as_of=at)
        found = state.read(scope=self.scope, machine_ids=ids)
        self.standing = {code: found[pk] for code, pk in self.ids.items()}

    def _visits(self, steps: Mapping[str, Step], at: datetime) -> None:
        by_person: dict[int, list[dict[str, Any]]] = {}
        for code, step in steps.items():
            if isinstance(step, Visit):
                visit = _visit(code, self.number, step, at)
                by_person.setdefault(step.by, []).append(visit)
        for by, visits in by_person.items():
            self._upload(f"tech-{by}", visits, at)
        for code, step in steps.items():
            if isinstance(step, Work):
                self._work(code, step, at)
            if isinstance(step, Review):
                self._review(code, step, at)
            if isinstance(step, Release):
                self._release(code, step, at)

    def _upload(self, person: str, visits: list[dict[str, Any]], at: datetime) -> None:
        taken = accept(
            scope=self.scopes[person],
            body={"visits": visits},
            fingerprint=f"{self.number}-{at:%H}-{person}".ljust(64, "0"),
            key=None,
            received_at=at + timedelta(hours=1),
            most=MOST,
        )
        for told in taken.answer["readings"]:
            if told["outcome"] in ("stored", "held"):
                continue
            # What may correct what is the service's own rule.
            if told["problem"]["code"] != "cannot-correct":
                raise Refused(str(told))

    def _work(self, code: str, step: Work, at: datetime) -> None:
        left = None
        if step.rows:
            left = _visit(code, self.number, step, at)
            del left["machine"], left["kind"]
        complete(
            scope=self.scopes["tech-0"],
            machine_id=self.ids[code],
            work=WorkReport(
                kind=step.kind, done_on=at.date(), as_left=left, **step.parts
            ),
            fingerprint=f"w-{code}-{self.number}-{at:%H}".ljust(64, "0"),
            key=None,
            received_at=at + timedelta(hours=1),
            most=MOST,
        )

    def _release(self, code: str, step: Release, at: datetime) -> None:
        own = {"scope": self.scope, "machine_id": self.ids[code], "now": at}
        if step.step is None:
            releasing.by_work(**own)
        else:
            reference = f"{code}-{step.step}-{step.slot}"
            releasing.of_reading(reference=reference, **own)

    def _review(self, code: str, step: Review, at: datetime) -> None:
        rows = Reading.objects.within(self.scope)
        reading = rows.filter(reference=f"{code}-{step.step}-{step.slot}").first()
        if reading is None:
            return
        with suppress(reviews.NothingToConfirm):
            reviews.review(
                scope=self.scope,
                reading_id=reading.pk,
                accepted=step.accepted,
                why="looked at",
                now=at,
            )

    def _compared(
        self, before: Mapping[str, Standing], planned: Mapping[str, Sequence[Step]]
    ) -> Iterator[Violation]:
        for life in self.lives:
            own = self.standing[life.code]
            for code in (life.code, *life.twins):
                change = life.twins.get(code)
                ends = any(_ends_stops(step) for step in planned[code])
                said = change.said if change else steps_in_words(planned[code])
                yield from self._told(
                    life,
                    promises.of_time(
                        before=before[code],
                        after=self.standing[code],
                        ends_stops=ends,
                        said=said,
                    ),
                )
                if change is not None:
                    yield from self._told(
                        life,
                        promises.of_twin(
                            change=change,
                            step=self.number,
                            own=own,
                            twin=self.standing[code],
                        ),
                    )
            yield from self._told(life, promises.of_saying(own))
            if isinstance(life.log[-1], Visit):
                yield from self._told(life, promises.of_silence(own, life.log[-1].rows))

    def _told(self, life: Life, found: Iterator[Violation]) -> Iterator[Violation]:
        for each in found:
            yield replace(each, seed=self.seed, life=life.code, step=self.number)


def _plan_for_full_tables() -> None:
    """Let the planner not take tables for empty that are filled in this transaction."""
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL enable_nestloop = off")


def _ends_stops(step: Step) -> bool:
    """Tell whether a step may end a stop: only acceptance of the last work may."""
    return isinstance(step, Release) and step.step is None


def _visit(code: str, number: int, step: Visit | Work, at: datetime) -> dict[str, Any]:
    kind = step.kind if isinstance(step, Visit) else ""
    return {
        "reference": f"{code}-{number}-{at:%H}",
        "machine": code,
        "kind": kind,
        "visited_at": at.isoformat(),
        "readings": [row.as_json(code, number) for row in step.rows],
    }


def _scope(contractor_id: int, member: Membership) -> Scope:
    return Scope(
        contractor_id=contractor_id,
        membership_id=member.pk,
        role=member.role,
        owner_id=None,
    )


def begin(
    *,
    seed: int,
    count: int,
    ill: bool = True,
    lean: Lean = ANY,
    only: Sequence[int] = (),
) -> Estate:
    """Return the estate of some lives that have not begun.

    Each life draws from a seed of its own: `only` lives some of them again.
    """
    some = []
    for n in only or range(count):
        own = Random(f"{seed} {n}")
        life = lives.begin(own, f"h{seed}-{n}", ill=ill, lean=lean)
        life.random = own
        some.append(life)
    return Estate(code=f"lives-{seed}", some=some, seed=seed)


def live(
    *,
    seed: int,
    count: int,
    steps: int,
    told: Callable[[Violation], None],
    lean: Lean = ANY,
    only: Sequence[int] = (),
) -> Estate:
    """Let some lives be lived from a seed; tell each violation; return the estate."""
    random = Random(seed)
    estate = begin(seed=seed, count=count, lean=lean, only=only)
    for _ in range(steps):
        for violation in estate.advance(random):
            told(violation)
    return estate


@contextmanager
def undone() -> Iterator[None]:
    """Keep nothing of what is stored inside the block."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
