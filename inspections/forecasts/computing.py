"""Forecasts of a chunk of tracks: arrays in, arrays out, no database."""

from datetime import datetime

import numpy as np

from inspections.forecasts import (
    asking,
    breaking,
    clocks,
    loading,
    showing,
    visiting,
    worn,
)
from inspections.forecasts.answers import (
    PlanningChances,
    TrackForecasts,
    last_reading,
    others_read,
)
from inspections.forecasts.clocks import YEAR_S
from inspections.forecasts.knowledge import Knowledge
from inspections.forecasts.loading import Tracks
from inspections.forecasts.showing import Chances
from inspections.projection.presentation import Case


def compute(
    *,
    tracks: Tracks,
    known: Knowledge,
    counters: clocks.Counters | None,
    rule: PlanningChances,
    as_of: datetime,
) -> list[TrackForecasts]:
    """Return the forecasts of worn lengths, and those of broken wires."""
    next_visit = visiting.next_visits(tracks=tracks, as_of=as_of)
    counted = tracks.class_number >= loading.FIRST_COUNT_CLASS
    answers = []
    if not bool(counted.all()):
        answers.append(
            worn.forecast(
                tracks=tracks.select(~counted),
                known=known,
                counters=counters,
                rule=rule,
                next_visit=next_visit[~counted],
            )
        )
    if bool(counted.any()):
        answers.append(
            _broken(tracks.select(counted), known, rule, next_visit[counted])
        )
    return answers


def _broken(
    tracks: Tracks, known: Knowledge, rule: PlanningChances, next_visit: np.ndarray
) -> TrackForecasts:
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
    return TrackForecasts(
        tracks=tracks,
        said=said,
        level=found.seen,
        # nobody knows how many are missed at one count
        level_sd=np.full(tracks.count, np.inf),
        log_rate_sd=np.zeros(tracks.count),
        centre_years=np.zeros(tracks.count),
        noise_factor=np.ones(tracks.count),
        factor=np.ones(tracks.count),
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
        speeding=np.zeros(tracks.count, dtype=np.bool_),
        softer=np.zeros(tracks.count, dtype=np.bool_),
        read_off=np.zeros(tracks.count, dtype=np.bool_),
    )
