"""Alternating pairs: our door against COPY, the plain serializer, and itself."""

import gc
import json
import random
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from tests import factories
from tests.benchmarks.intake import bodies, door, plain
from tests.benchmarks.intake.copying import Copier


@dataclass(slots=True, kw_only=True)
class Bench:
    """What the pairs are measured on."""

    cast: factories.Cast
    codes: Sequence[str]
    readings: int
    draw: random.Random

    @property
    def key(self) -> str:
        return self.cast.keys["TECHNICIAN"]

    def body(self, mark: str) -> bytes:
        """Return an upload on machines picked by chance, as bytes."""
        visits = self.readings // bodies.READINGS_A_VISIT
        machines = [self.draw.choice(self.codes) for _ in range(visits)]
        found = bodies.upload(machines=machines, mark=mark, day=250)
        return json.dumps(found).encode()

    def fresh(self, mark: str, *, idempotency: str = "") -> door.Reply:
        """Send a new upload; all of it must be new and stored."""
        return self.sent(self.body(mark), "stored", idempotency=idempotency)

    def sent(
        self, content: bytes, outcome: str, *, idempotency: str = ""
    ) -> door.Reply:
        gc.collect()
        reply = door.upload(content, key=self.key, idempotency=idempotency)
        if reply.counts != {outcome: self.readings}:
            raise RuntimeError(f"not all {outcome}: {reply.counts}")
        return reply


def to_copy(bench: Bench, *, owner_url: str, pairs: int) -> dict[str, Any]:
    """Return how our door's speed compares with COPY of the same rows.

    Into their table with all its keys, and into a bare one of the same columns.
    """
    copier, ours, theirs, bare = Copier(owner_url=owner_url), [], [], []
    for pair in range(-1, pairs):
        reply = bench.fresh(f"c{pair}")
        text = copier.prepare(
            upload_id=json.loads(reply.body)["upload"],
            old_mark=f"c{pair}",
            new_mark=f"d{pair}",
        )
        ours.append(reply.seconds)
        theirs.append(copier.copy(text))
        bare.append(copier.copy_bare(text))
    copier.close()
    # The first pair warmed both sides up.
    return {
        "ratio_to_copy": _median_ratio(theirs[1:], ours[1:]),
        "upload_s": round(median(ours[1:]), 4),
        "copy_s": round(median(theirs[1:]), 4),
        "ratio_to_bare_table": _median_ratio(bare[1:], ours[1:]),
        "bare_table_s": round(median(bare[1:]), 4),
        "readings_per_second": round(bench.readings / median(ours[1:])),
    }


def to_plain_serializer(bench: Bench, *, pairs: int) -> dict[str, Any]:
    """Return how many times faster our door is than the plain serializer."""
    ours, theirs = [], []
    for pair in range(pairs):
        reply = bench.fresh(f"p{pair}")
        upload_id = json.loads(reply.body)["upload"]
        content = plain.prepare(
            bench.cast,
            upload_id=upload_id,
            old_mark=f"p{pair}",
            new_mark=f"q{pair}",
        )
        ours.append(reply.seconds)
        theirs.append(plain.store(bench.cast, content, upload_id=upload_id))
    return {
        "ratio_to_plain_serializer": _median_ratio(theirs, ours),
        "plain_serializer_s": round(median(theirs), 3),
    }


def repeat_cost(bench: Bench, *, pairs: int) -> dict[str, Any]:
    """Return what a repeat costs, as a share of the first time."""
    keyed: list[tuple[float, float]] = []
    bare: list[tuple[float, float]] = []
    for pair in range(pairs):
        content, name = bench.body(f"k{pair}"), f"key-{pair}"
        first = bench.sent(content, "stored", idempotency=name)
        again = bench.sent(content, "stored", idempotency=name)
        keyed.append((again.seconds, first.seconds))
        content = bench.body(f"n{pair}")
        first = bench.sent(content, "stored")
        again = bench.sent(content, "already-stored")
        bare.append((again.seconds, first.seconds))
    return {
        "repeat_cost_with_key": _median_ratio(*zip(*keyed, strict=True)),
        "repeat_cost_without_key": _median_ratio(*zip(*bare, strict=True)),
    }


def _median_ratio(above: Sequence[float], below: Sequence[float]) -> float:
    pairs = zip(above, below, strict=True)
    return round(median(over / under for over, under in pairs), 3)
