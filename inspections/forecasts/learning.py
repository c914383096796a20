"""Weekly learning: what a contractor's fleet teaches, and what all teach together."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from fleet.models import Contractor
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.forecasts import (
    breaking,
    clocks,
    knowledge,
    loading,
    readers,
    shapes,
)
from inspections.forecasts.knowledge import MODEL_VERSION, Knowledge
from inspections.forecasts.loading import Tracks
from inspections.models import Hyperparameters, SharedPrior
from inspections.projection import counts
from inspections.projection.learning import fitting_class
from inspections.projection.learning import learn as kernel

EVERY = timedelta(days=7)
# Learning that begins a little early is still weekly.
SLACK = timedelta(hours=12)
# Machines that are learnt from, at even steps through the fleet.
MOST_MACHINES = 5000


def is_due(*, scope: Scope, now: datetime) -> bool:
    """Return whether a contractor's last learning was a week ago, or never."""
    _, row = knowledge.latest(scope=scope)
    return row is None or row.learnt_at <= now - EVERY + SLACK


def learn(*, scope: Scope, now: datetime) -> int:
    """Learn from a contractor's fleet; return the id of the stored row."""
    machines = list(queries.active_machines(scope=scope).values_list("pk", flat=True))
    some = machines[:: max(1, -(-len(machines) // MOST_MACHINES))]
    tracks = loading.load(machine_ids=some)
    counters = clocks.counters(scope=scope, machine_ids=some, until=now)
    prior = knowledge.shared()
    own = _taught(tracks, counters, prior)
    known = knowledge.shrunk(own=own, prior=prior)
    effects = readers.learn(tracks=tracks, counters=counters, known=known)
    row = Hyperparameters.objects.create(
        contractor_id=scope.contractor_id,
        learnt_at=now,
        model_version=MODEL_VERSION,
        record=knowledge.to_record(known) | {"readers": readers.to_record(effects)},
        readings=int(tracks.point_id.size),
        machines=len(set(tracks.machine.tolist())),
    )
    return row.pk


def _taught(tracks: Tracks, counters: clocks.Counters, prior: Knowledge) -> Knowledge:
    """Return what tracks teach by themselves, beginning at the prior."""
    counted = tracks.class_number >= loading.FIRST_COUNT_CLASS
    worn = tracks.select(~counted)
    typical = clocks.typical_years(tracks=worn, found=counters)
    wear = prior.wear
    if worn.count:
        clock = clocks.clock(tracks=worn, typical=typical, found=counters)
        made = shapes.shape(tracks=worn, clock=clock)
        wear = kernel.learn(
            readings=made.arranged.readings,
            hierarchy=made.hierarchy,
            limits=made.limits,
            known_installation=made.known,
            hyper=prior.wear,
            confirmed=made.of_points(worn.confirmed, otherwise=False),
        )
    unfit = fitting_class.not_fitted(wear).tolist()
    names = loading.CLASSES[: len(unfit)]
    broken, machines = dict(prior.broken), {}
    ropes = tracks.select(counted)
    for number in np.unique(ropes.class_number):
        name = loading.CLASSES[number]
        of_class = ropes.select((ropes.class_number == number) & _read(ropes))
        if of_class.count:
            broken[name] = counts.learn(counts=breaking.counts_of(of_class))
            machines[name] = float(np.unique(of_class.machine).size)
    return replace(
        prior,
        wear=wear,
        broken=broken,
        typical_trips=typical,
        rope_machines=machines,
        not_fitted=frozenset(n for n, bad in zip(names, unfit, strict=True) if bad),
    )


def _read(tracks: Tracks) -> np.ndarray:
    read: np.ndarray = np.bincount(tracks.track, minlength=tracks.count) > 0
    return read


def pool(*, now: datetime) -> bool:
    """Renew the shared prior if a week has passed; return whether it was.

    Reads each contractor's own row in a transaction of its own, confined to it. Two at
    once store the same twice, which does no harm.
    """
    last = SharedPrior.objects.filter(model_version=MODEL_VERSION).first()
    if last is not None and last.learnt_at > now - EVERY + SLACK:
        return False
    fleets: list[Knowledge] = []
    contractors: Sequence[int] = list(
        Contractor.objects.filter(retired_on=None).values_list("pk", flat=True)
    )
    for contractor_id in contractors:
        with tenancy.acting_for(contractor_id=contractor_id) as scope:
            known, row = knowledge.latest(scope=scope)
        if row is not None:
            fleets.append(known)
    SharedPrior.objects.create(
        learnt_at=now,
        model_version=MODEL_VERSION,
        record=knowledge.to_record(knowledge.pooled(fleets=fleets)),
    )
    return True
