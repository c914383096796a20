"""Forecasts of worn lengths: arrays in, arrays out, no database."""

from dataclasses import replace

import numpy as np

from inspections.forecasts import ahead, asking, clocks, early, showing
from inspections.forecasts.answers import (
    PlanningChances,
    TrackForecasts,
    last_reading,
    others_read,
)
from inspections.forecasts.asking import Question
from inspections.forecasts.clocks import YEAR_S
from inspections.forecasts.early import Early
from inspections.forecasts.knowledge import Knowledge
from inspections.forecasts.loading import Tracks
from inspections.forecasts.shapes import ShapedTracks, is_passed, shape, used_up_chance
from inspections.forecasts.showing import Chances, SeriesSaid
from inspections.projection import forecasting, guarding, planning
from inspections.projection.arrays import Floats, group_count
from inspections.projection.forecasting import Forecasts
from inspections.projection.guarding import Guarded
from inspections.projection.presentation import Case
from inspections.projection.usage import Usage


def forecast(
    *,
    tracks: Tracks,
    known: Knowledge,
    counters: clocks.Counters | None,
    rule: PlanningChances,
    next_visit: np.ndarray,
) -> TrackForecasts:
    """Return the forecasts of tracks of worn lengths."""
    clock = clocks.clock(tracks=tracks, typical=known.typical_trips, found=counters)
    made = shape(tracks=tracks, clock=clock)
    last = last_reading(tracks)
    horizon = np.maximum(next_visit - last, 0.0) / YEAR_S
    confirmed = made.of_points(tracks.confirmed, otherwise=False)
    factor = ahead.factors(known, tracks.class_number)
    found, planned, guarded = _looked_ahead(
        tracks, known, rule, made, clock.usage, horizon, confirmed, factor
    )
    question = _question(tracks, made, found, confirmed)
    series = np.repeat(np.arange(tracks.count), made.arranged.readings.counts)
    count = group_count(series[made.points], tracks.count)
    dates = early.early(
        found=found,
        planned=planned,
        guarded=guarded,
        rule=rule,
        safety=tracks.safety,
        doubted=question.suspended | (factor > 1.0) | _read_off(tracks),
        used_up=used_up_chance(made.limits),
        passed_years=np.where(
            is_passed(made.limits), (tracks.begun - last) / YEAR_S, np.inf
        ),
        horizon_years=horizon,
    )
    a_year = 1.0 if clock.usage is None else np.exp(clock.usage.log_per_year)
    return TrackForecasts(
        tracks=tracks,
        said=_said(tracks, known, rule, made, found, question, count, dates),
        level=found.level_mm,
        level_sd=found.level_sd_mm,
        log_rate_sd=found.log_rate_sd,
        centre_years=found.centre_clock / a_year,
        noise_factor=found.noise_factor,
        factor=factor,
        rate_per_year=found.rate_mm_per_clock * a_year,
        share_learnt=found.share_learnt,
        limit_share=found.limit_share,
        chance_already=dates.already,
        chance_before_visit=dates.before_visit,
        has_level=(count > 0) & (found.state == forecasting.FORECAST),
        last=last,
        next_visit=next_visit,
        on_trips=clock.on_trips,
        speeding=guarded.earlier,
        softer=guarded.softer,
        read_off=_read_off(tracks),
        left_out=_left_out(tracks, made, found),
    )


def _looked_ahead(
    tracks: Tracks,
    known: Knowledge,
    rule: PlanningChances,
    made: ShapedTracks,
    usage: Usage | None,
    horizon: np.ndarray,
    confirmed: np.ndarray,
    factor: Floats,
) -> tuple[Forecasts, Floats, Guarded]:
    """Return the forecasts, and the curve that dates are planned on: as it is, and as
    guarded against wear that speeds up.

    Where a gauge or person reads off the others both are the earlier of what was read
    and of what it may be: deeper earlier readings by themselves would promise less.
    """
    found = forecasting.forecast(
        readings=made.arranged.readings,
        hierarchy=made.hierarchy,
        limits=made.reachable,
        known_installation=made.known,
        horizon_years=horizon,
        hyper=known.wear,
        usage=usage,
        probabilities=rule.probabilities,
        confirmed=confirmed,
    )
    case = planning.Planned(
        readings=made.arranged.readings,
        hierarchy=made.hierarchy,
        limits=made.reachable,
        known_installation=made.known,
        usage=usage,
        probabilities=rule.probabilities,
        confirmed=confirmed,
        counts_mm=made.of_points(tracks.counts_as, otherwise=0.0),
        at_least=made.of_points(tracks.at_least, otherwise=False),
        wanted=tracks.open,
        layer_mm=tracks.layer,
    )
    planned, guarded = ahead.plan(case, factor=factor, hyper=known.wear)
    doubted = _read_off(tracks)
    if not bool((doubted & tracks.open).any()):
        return found, planned, guarded
    deeper = made.of_points(tracks.deeper, otherwise=0.0)
    doubt = made.of_points(tracks.doubt, otherwise=0.0)
    readings = case.readings
    as_if = replace(
        case,
        readings=replace(
            readings,
            level_mm=readings.level_mm + deeper,
            noise_mm=np.hypot(readings.noise_mm, doubt),
        ),
        counts_mm=made.of_points(tracks.counts_as, otherwise=0.0) + deeper,
        wanted=tracks.open & doubted,
    )
    again = ahead.plan(as_if, factor=factor, hyper=known.wear)
    return found, np.minimum(planned, again[0]), guarding.earlier_of(guarded, again[1])


def _read_off(tracks: Tracks) -> np.ndarray:
    """Return True (S,) for what a gauge or person read that is off the others."""
    found = np.zeros(tracks.count, dtype=np.bool_)
    found[tracks.track[(tracks.deeper > 0.0) | (tracks.doubt > 0.0)]] = True
    return found


def _left_out(tracks: Tracks, made: ShapedTracks, found: Forecasts) -> np.ndarray:
    """Return the track and the point of each reading that is to be measured again."""
    flagged = np.flatnonzero(found.flagged & made.points)
    point = made.arranged.source[flagged]
    return np.stack([tracks.id[tracks.track[point]], tracks.point_id[point]])


def _said(
    tracks: Tracks,
    known: Knowledge,
    rule: PlanningChances,
    made: ShapedTracks,
    found: Forecasts,
    question: Question,
    count: np.ndarray,
    dates: Early,
) -> SeriesSaid:
    """Return what is shown of each forecast; count : (S,) readings that stand."""
    others = others_read(made.hierarchy, count)
    # of numbers that cannot be nothing else is asked first
    asked = question.suspended & (found.state != forecasting.NOT_COMPUTABLE)
    return showing.say(
        case=Case(
            readings=count,
            known_installation=made.known,
            quantiles_years=dates.quantiles_years,
            share_learnt=found.share_learnt,
            machine_seen=others > 0,
            sister_visits=others,
            class_series=known.wear.machines[tracks.class_number],
            suspended=asked,
            safety=tracks.safety,
        ),
        chances=Chances(
            already=dates.already,
            before_visit=dates.before_visit,
            model_state=found.state,
            plan_years=dates.plan_years,
            visit_years=dates.visit_years,
            pull_forward_chance=rule.pull_forward,
        ),
        question=question,
    )


def _question(
    tracks: Tracks, made: ShapedTracks, found: Forecasts, confirmed: np.ndarray
) -> Question:
    readings = made.arranged.readings
    taken = made.of_points(tracks.taken, otherwise=0.0)
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
