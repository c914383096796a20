"""The promises: knowing less, or something worse, never makes a machine look better."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import timedelta

from tests.histories import worse
from tests.histories.changes import (
    HEALED,
    LESS_READ,
    LESS_REGISTER,
    WORSE,
    WORSE_REGISTER,
    Change,
)
from tests.histories.state import BEYOND, OPEN, STATES, TRACTION, WITHIN, Standing
from tests.histories.steps import Row

LATER_BY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Violation:
    """What became better, against which promise."""

    promise: str
    change: str
    where: str
    before: str
    after: str
    seed: int = 0
    life: str = ""
    step: int = 0

    def __str__(self) -> str:
        at = f"seed {self.seed} {self.life} step {self.step}"
        return (
            f"{at}: {self.promise} [{self.change}] {self.where}: "
            f"{self.before} -> {self.after}"
        )


def of_twin(
    *, change: Change, step: int, own: Standing, twin: Standing
) -> Iterator[Violation]:
    """Yield what is better of a twin than of its machine."""
    if change.step > step:
        return
    if change.sort == WORSE:
        yield from _worse(change, step, own, twin)
    elif change.sort == WORSE_REGISTER:
        yield from _verdicts("P1 worse register", change, own, twin, (BEYOND, OPEN))
        yield from _stops("P1 worse register", change, own, twin)
        yield from _state("P1 worse register", change, own, twin)
        yield from _all_dates(change, own, twin)
    elif change.sort == LESS_REGISTER:
        yield from _verdicts("P2 less register", change, own, twin, (BEYOND, OPEN))
        topics = tuple(topic for topic, _ in own.verdicts)
        yield from _lost("P2 less register", change, own, twin, topics)
    elif change.sort == LESS_READ:
        whole = change.row is None or worse.ALL[change.row.kind].whole
        topics = None if whole or change.row is None else _topics(change)
        yield from _verdicts(
            "P2 less read", change, own, twin, (BEYOND, OPEN), topics=topics
        )
    elif change.sort == HEALED:
        yield from _stops("P3 healed by words", change, own, twin)
        if not change.stops_only:
            yield from _verdicts("P3 healed by words", change, own, twin, (BEYOND,))
            yield from _lost("P3 healed by words", change, own, twin, _topics(change))


def of_time(
    *, before: Standing, after: Standing, ends_stops: bool, said: str
) -> Iterator[Violation]:
    """Yield the stops that a step has ended though nothing in it ends a stop."""
    if ends_stops:
        return
    for stop in sorted(before.stops - after.stops):
        yield Violation(
            promise="P3 stop ended",
            change=said,
            where=" ".join(stop),
            before="stopped",
            after="gone",
        )


def of_silence(standing: Standing, rows: Iterable[Row]) -> Iterator[Violation]:
    """Yield what was read and is not answered at all, neither good nor bad nor open."""
    for kind, where in sorted({(row.kind, row.where()) for row in rows}):
        topic = worse.JUDGED.get(kind)
        if topic is None or any(
            t == topic
            and (not where or kind in worse.TOGETHER or p in (where, "") or where in p)
            for t, p in standing.verdicts
        ):
            continue
        yield Violation(
            promise="P4 silent",
            change=f"{kind} {where} read",
            where=topic,
            before="read",
            after="not told",
        )


def of_saying(standing: Standing) -> Iterator[Violation]:
    """Yield the open answers that do not say what they depend on."""
    for where in standing.unsaid:
        yield Violation(
            promise="P4 not said", change="", where=where, before=OPEN, after="unsaid"
        )


def _topics(change: Change) -> tuple[str, ...]:
    return worse.ALL[change.row.kind].topics if change.row else ()


def _worse(
    change: Change, step: int, own: Standing, twin: Standing
) -> Iterator[Violation]:
    if change.row is None:
        raise ValueError("a worse reading is the reading of a row")
    rule = worse.ALL[change.row.kind]
    topics = tuple(t for t in rule.topics if not (change.beds_in and t == TRACTION))
    yield from _verdicts("P1 worse", change, own, twin, (BEYOND, OPEN), topics=topics)
    yield from _lost("P1 worse", change, own, twin, topics)
    if rule.whole and not change.beds_in:
        yield from _stops("P1 worse", change, own, twin)
        yield from _state("P1 worse", change, own, twin)
    if change.step == step:
        yield from _dates(change, rule.dates, own, twin)
    if rule.otherwise:
        yield from _all_dates(change, own, twin)


def _verdicts(
    promise: str,
    change: Change,
    own: Standing,
    twin: Standing,
    held: tuple[str, ...],
    *,
    topics: tuple[str, ...] | None = None,
) -> Iterator[Violation]:
    for (topic, place), said in sorted(own.verdicts.items()):
        if said not in held or (topics is not None and topic not in topics):
            continue
        if twin.verdicts.get((topic, place)) == WITHIN:
            yield Violation(
                promise=promise,
                change=change.said,
                where=f"{topic} {place}".strip(),
                before=said,
                after=WITHIN,
            )


def _lost(
    promise: str, change: Change, own: Standing, twin: Standing, topics: tuple[str, ...]
) -> Iterator[Violation]:
    """Yield what was beyond and is not told at all, while the machine is not worse."""
    for (topic, place), said in sorted(own.verdicts.items()):
        if said != BEYOND or topic not in topics or (topic, place) in twin.verdicts:
            continue
        # What is not known of the machine as a whole is told of none of its places.
        if twin.verdicts.get((topic, "")) in (BEYOND, OPEN):
            continue
        if twin.state <= own.state and not any(
            t == topic and v == BEYOND for (t, _), v in twin.verdicts.items()
        ):
            yield Violation(
                promise=promise,
                change=change.said,
                where=f"{topic} {place}".strip(),
                before=said,
                after="not told",
            )


def _stops(
    promise: str, change: Change, own: Standing, twin: Standing
) -> Iterator[Violation]:
    for stop in sorted(own.stops - twin.stops):
        yield Violation(
            promise=promise,
            change=change.said,
            where=" ".join(stop),
            before="stopped",
            after="no stop",
        )


def _state(
    promise: str, change: Change, own: Standing, twin: Standing
) -> Iterator[Violation]:
    if twin.state < own.state:
        yield Violation(
            promise=promise,
            change=change.said,
            where="state",
            before=STATES[own.state],
            after=STATES[twin.state],
        )


def _all_dates(change: Change, own: Standing, twin: Standing) -> Iterator[Violation]:
    """Yield the dates that are later by worse masses, or another worse register."""
    for quantity, place in sorted(own.dates):
        yield from _date_of(change, quantity, place, own, twin)


def _dates(
    change: Change, quantities: tuple[str, ...], own: Standing, twin: Standing
) -> Iterator[Violation]:
    place = change.row.where() if change.row else ""
    for quantity in quantities:
        yield from _date_of(change, quantity, place, own, twin)


def _date_of(
    change: Change, quantity: str, place: str, own: Standing, twin: Standing
) -> Iterator[Violation]:
    before = own.dates.get((quantity, place))
    after = twin.dates.get((quantity, place))
    if before is None:
        return
    if after is None and twin.state <= own.state:
        yield _date(change, quantity, place, str(before), "no date")
    if after is not None and after > before + LATER_BY:
        yield _date(change, quantity, place, str(before), str(after))


def _date(
    change: Change, quantity: str, place: str, before: str, after: str
) -> Violation:
    return Violation(
        promise="P1 date",
        change=change.said,
        where=f"{quantity} {place}",
        before=before,
        after=after,
    )
