"""Forecasts of a chunk of tracks: arrays in, arrays out, no database."""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from inspections.forecasts import asking, breaking, clocks, loading, showing, visiting
from inspections.forecasts.asking import Question
from inspections.forecasts.clocks import YEAR_S, Clock
from inspections.forecasts.knowledge import Knowledge
from inspections.forecasts.loading import Tracks
from inspections.forecasts.showing import Chances, Said
from inspections.projection import forecasting
from inspections.projection.arrays import group_count
from inspections.projection.forecasting import Forecasts
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.limits import Limits
from inspections.projection.presentation import Case
from inspections.projection.series import Arranged, arrange


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """How cautiously to plan: chances that a limit is met before the date given."""

    safety: float = 0.02
    comfort: float = 0.10
    pull_forward: float = 0.01

    @property
    def probabilities(self) -> tuple[float, ...]:
        return (0.02, 0.10, 0.50, 0.90, self.safety, self.comfort, self.pull_forward)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Forecasts of tracks (S,), in their order; closed ones are among them.

    has_level : level and rate are known; without a limit they are not worked out
    last : seconds since 1970; next_visit likewise; left_out : (track, point id) pairs
    """

    tracks: Tracks
    said: Said
    level: np.ndarray
    level_sd: np.ndarray
    rate_per_year: np.ndarray
    share_learnt: np.ndarray
    limit_share: np.ndarray
    chance_already: np.ndarray
    chance_before_visit: np.ndarray
    has_level: np.ndarray
    last: np.ndarray
    next_visit: np.ndarray
    on_trips: np.ndarray
    left_out: np.ndarray


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """Tracks as the kernel takes them; `arranged.source` below P names a point."""

    arranged: Arranged
    hierarchy: Hierarchy
    limits: Limits
    known: np.ndarray

    @property
    def points(self) -> np.ndarray:
        """True (N,) for readings that are no stand-in for the installation."""
        ordinary: np.ndarray = ~self.arranged.readings.installation
        return ordinary


def shape(*, tracks: Tracks, clock: Clock) -> Shape:
    """Return the readings of tracks, with one that stands for each installation."""
    known = np.isfinite(tracks.tolerance)
    new = np.flatnonzero(known)
    arranged = arrange(
        series=np.concatenate([tracks.track, new]),
        clock=np.concatenate([clock.of_point, np.zeros(new.size)]),
        level_mm=np.concatenate([tracks.level, np.zeros(new.size)]),
        noise_mm=np.concatenate([tracks.sd, tracks.tolerance[new]]),
        visit=np.concatenate([tracks.visit, -1 - new]),
        installation=np.arange(tracks.track.size + new.size) >= tracks.track.size,
        series_count=tracks.count,
    )
    return Shape(
        arranged=arranged,
        hierarchy=loading.hierarchy(tracks),
        limits=Limits(limit_mm=tracks.limit_level, limit_sd_mm=tracks.limit_sd),
        known=known,
    )


def compute(
    *,
    tracks: Tracks,
    known: Knowledge,
    counters: clocks.Counters | None,
    rule: Rule,
    as_of: datetime,
) -> list[Answer]:
    """Return the forecasts of worn lengths, and those of broken wires."""
    next_visit = visiting.next_visits(tracks=tracks, as_of=as_of)
    counted = tracks.class_number >= loading.FIRST_COUNT_CLASS
    answers = []
    if not bool(counted.all()):
        answers.append(
            _worn(tracks.select(~counted), known, counters, rule, next_visit[~counted])
        )
    if bool(counted.any()):
        answers.append(
            _broken(tracks.select(counted), known, rule, next_visit[counted])
        )
    return answers


def last_reading(tracks: Tracks) -> np.ndarray:
    """Return when each track was read last (S,), or begun where it never was."""
    last = tracks.begun.copy()
    np.maximum.at(last, tracks.track, tracks.taken)
    return last


def _worn(
    tracks: Tracks,
    known: Knowledge,
    counters: clocks.Counters | None,
    rule: Rule,
    next_visit: np.ndarray,
) -> Answer:
    clock = clocks.clock(tracks=tracks, typical=known.typical_trips, found=counters)
    made = shape(tracks=tracks, clock=clock)
    last = last_reading(tracks)
    found = forecasting.forecast(
        readings=made.arranged.readings,
        hierarchy=made.hierarchy,
        limits=made.limits,
        known_installation=made.known,
        horizon_years=np.maximum(next_visit - last, 0.0) / YEAR_S,
        hyper=known.wear,
        usage=clock.usage,
        probabilities=rule.probabilities,
    )
    question = _question(tracks, made, found)
    series = np.repeat(np.arange(tracks.count), made.arranged.readings.counts)
    count = group_count(series[made.points], tracks.count)
    said = _said(tracks, known, rule, made, found, question, count)
    a_year = 1.0 if clock.usage is None else np.exp(clock.usage.log_per_year)
    flagged = np.flatnonzero(found.flagged & made.points)
    point = made.arranged.source[flagged]
    return Answer(
        tracks=tracks,
        said=said,
        level=found.level_mm,
        level_sd=found.level_sd_mm,
        rate_per_year=found.rate_mm_per_clock * a_year,
        share_learnt=found.share_learnt,
        limit_share=found.limit_share,
        chance_already=found.chance_already,
        chance_before_visit=found.chance_before_horizon,
        has_level=(count > 0) & (found.state == forecasting.FORECAST),
        last=last,
        next_visit=next_visit,
        on_trips=clock.on_trips,
        left_out=np.stack([tracks.id[tracks.track[point]], tracks.point_id[point]]),
    )


def _said(
    tracks: Tracks,
    known: Knowledge,
    rule: Rule,
    made: Shape,
    found: Forecasts,
    question: Question,
    count: np.ndarray,
) -> Said:
    """Return what is shown of each forecast; count : (S,) readings that stand."""
    others = others_read(made.hierarchy, count)
    plan = np.where(tracks.safety, found.quantiles_years[4], found.quantiles_years[5])
    return showing.say(
        case=Case(
            readings=count,
            known_installation=made.known,
            quantiles_years=found.quantiles_years[:4],
            share_learnt=found.share_learnt,
            machine_seen=others > 0,
            sister_visits=others,
            class_series=known.wear.machines[tracks.class_number],
            suspended=question.suspended,
            safety=tracks.safety,
            chance_before_visit=found.chance_before_horizon,
        ),
        chances=Chances(
            already=found.chance_already,
            before_visit=found.chance_before_horizon,
            model_state=found.state,
            plan_years=plan,
            visit_years=found.quantiles_years[6],
            pull_forward_chance=rule.pull_forward,
        ),
        question=question,
    )


def _question(tracks: Tracks, made: Shape, found: Forecasts) -> Question:
    readings, source = made.arranged.readings, made.arranged.source
    size = tracks.track.size
    taken = np.zeros(source.size)
    confirmed = np.ones(source.size, dtype=np.bool_)
    ordinary = np.flatnonzero(source < size)
    taken[ordinary] = tracks.taken[source[ordinary]]
    confirmed[ordinary] = tracks.confirmed[source[ordinary]]
    some = readings.counts > 0
    doubted = np.zeros(tracks.count, dtype=np.bool_)
    last = readings.bounds[1:][some] - 1
    doubted[some] = found.flagged[last] & ~confirmed[last]
    return asking.ask(
        readings=readings,
        hierarchy=made.hierarchy,
        limit_mm=tracks.limit_level,
        doubted_last=doubted,
        taken=taken,
    )


def others_read(hierarchy: Hierarchy, count: np.ndarray) -> np.ndarray:
    """Return the readings of the best-read other series of each one's pool (S,)."""
    pool = hierarchy.machine_of_series
    order = np.lexsort((-count, pool))
    first = np.ones(order.size, dtype=np.bool_)
    first[1:] = pool[order][1:] != pool[order][:-1]
    best = order[first]
    second = np.zeros(best.size, dtype=count.dtype)
    after = np.flatnonzero(first) + 1
    inside = after < order.size
    inside[inside] &= ~first[after[inside]]
    second[inside] = count[order[after[inside]]]
    found: np.ndarray = np.where(
        best[pool] == np.arange(count.size), second[pool], count[best][pool]
    )
    return found


def _broken(
    tracks: Tracks, known: Knowledge, rule: Rule, next_visit: np.ndarray
) -> Answer:
    last = last_reading(tracks)
    horizon = np.maximum(next_visit - last, 0.0) / YEAR_S
    found = breaking.forecast(
        tracks=tracks, known=known, horizon_years=horizon, rule=rule.probabilities
    )
    others = others_read(loading.hierarchy(tracks), found.count)
    question = asking.nothing(tracks.count)
    said = showing.say(
        case=Case(
            readings=found.count,
            known_installation=np.ones(tracks.count, dtype=np.bool_),
            quantiles_years=found.years[:4],
            share_learnt=found.share_learnt,
            machine_seen=others > 0,
            sister_visits=others,
            class_series=found.class_machines,
            suspended=question.suspended,
            safety=tracks.safety,
            chance_before_visit=found.chance_before_horizon,
        ),
        chances=Chances(
            already=found.already,
            before_visit=found.chance_before_horizon,
            model_state=found.state,
            plan_years=np.where(tracks.safety, found.years[4], found.years[5]),
            visit_years=found.years[6],
            pull_forward_chance=rule.pull_forward,
        ),
        question=question,
    )
    return Answer(
        tracks=tracks,
        said=said,
        level=found.seen,
        # nobody knows how many are missed at one count
        level_sd=np.full(tracks.count, np.inf),
        rate_per_year=found.rate_per_year,
        share_learnt=found.share_learnt,
        limit_share=np.zeros(tracks.count),
        chance_already=found.already,
        chance_before_visit=found.chance_before_horizon,
        has_level=found.count > 0,
        last=last,
        next_visit=next_visit,
        on_trips=np.zeros(tracks.count, dtype=np.bool_),
        left_out=np.zeros((2, 0), dtype=np.int64),
    )
