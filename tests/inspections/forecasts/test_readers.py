"""Gauges that read off the others: learnt, told, and counted as deeper only."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.platform.database.tenancy import acting_for
from inspections import forecasts
from inspections.forecasts import computing, knowledge, loading, readers
from inspections.forecasts.answers import PlanningChances
from inspections.models import Gauge, Reading, TrackPoint, Upload
from inspections.pages import effects as said
from tests import callers, factories
from tests.inspections.forecasts import stored
from tests.inspections.forecasts.stored import NOW
from tests.inspections.test_pages import browser, text_of

pytestmark = pytest.mark.django_db

YEARS = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
LOW_MM = 0.3


@pytest.fixture
def north():
    found = factories.cast()
    callers.confine(found)
    return found


def read_by(cast, machines, *, low="low"):
    """Store courses read in turns by two good gauges and one that reads too little."""
    own = {"contractor_id": cast.contractor.pk}
    gauges = [
        Gauge.objects.create(**own, code=code, name=code) for code in ("a", "b", low)
    ]
    upload = Upload.objects.create(**own, membership_id=1, fingerprint="0" * 64)
    for number, machine in enumerate(machines):
        for groove in (1, 2, 3):
            by = [gauges[(number + turn) % 3] for turn in range(len(YEARS))]
            levels = [
                (at, (0.15 + 0.02 * number) * at - LOW_MM * (gauge.code == low))
                for at, gauge in zip(YEARS, by, strict=True)
            ]
            row = stored.track(machine, levels=levels, place=f"groove {groove}")
            for point, gauge in zip(row.points.order_by("taken_at"), by, strict=True):
                read = Reading.objects.create(
                    **own,
                    upload=upload,
                    visit=point.visit,
                    machine=machine,
                    reference=f"r-{point.pk}",
                    kind="groove_depth",
                    typed_value="1",
                    value=1.0,
                    taken_at=point.taken_at,
                    gauge=gauge,
                )
                TrackPoint.objects.filter(pk=point.pk).update(readings=[read.pk])
    stored.idle(cast)
    return gauges[2]


def learnt(cast):
    with acting_for(contractor_id=cast.contractor.pk) as scope:
        forecasts.learning.learn(scope=scope, now=NOW)
        _, row = knowledge.latest(scope=scope)
        return readers.of_row(row)


def test_gauge_that_reads_too_little_is_told_and_planned_on_as_deeper(north):
    machines = stored.machines(north, count=8)
    gauge = read_by(north, machines)
    stored.night(north, now=NOW - timedelta(days=2))
    before = [stored.current(machine) for machine in machines]

    effects = {each.gauge: each for each in learnt(north) if each.gauge}
    stored.night(north)

    found = effects[gauge.pk]
    assert found.off
    assert found.quantity == "seat depth"
    assert -LOW_MM < found.mm < -0.12
    # three grooves of eight machines, each read by the others too
    assert found.places == 24
    assert [e.off for key, e in effects.items() if key != gauge.pk] == [False, False]
    page = text_of(browser(north, "OFFICE").get(reverse("gauges")))
    assert "shows too little wear at 24 places" in page
    callers.confine(north)
    after = [stored.current(machine) for machine in machines]
    assert all("reads off the others" in row.caution for row in after)
    assert not any("reads off the others" in row.caution for row in before)


def test_checked_gauge_counts_as_read_from_that_day_on(north):
    machines = stored.machines(north, count=8)
    gauge = read_by(north, machines)
    effects = learnt(north)
    with acting_for(contractor_id=north.contractor.pk):
        tracks = loading.load(machine_ids=[each.pk for each in machines])
        doubted = readers.counted(tracks, effects=effects)
        Gauge.objects.filter(pk=gauge.pk).update(checked_on=stored.moment(3.5).date())
        checked = readers.counted(tracks, effects=effects)

    # never shallower, and a third of what was read is deeper
    assert doubted.deeper.min() == 0.0
    assert (doubted.deeper > 0.1).sum() == tracks.point_id.size // 3
    late = tracks.taken > stored.moment(3.5).timestamp()
    assert (checked.deeper[~late] == doubted.deeper[~late]).all()
    assert (checked.deeper[late] == 0.0).all()
    assert (doubted.deeper[late] > 0.1).any()


def effect(*, gauge=0, person=0, mm=-0.3):
    return readers.ReaderEffect(
        quantity="seat depth",
        gauge=gauge,
        person=person,
        checked=False,
        mm=mm,
        sd_mm=0.02,
        places=24,
        off=True,
    )


def test_what_one_reads_too_deep_takes_nothing_from_what_another_reads_too_shallow(
    north,
):
    """An effect may deepen or widen until a check, and never make shallower."""
    machines = stored.machines(north, count=2)
    gauge = read_by(north, machines)
    # who made all of the visits
    shallow = effect(person=1)
    with acting_for(contractor_id=north.contractor.pk):
        tracks = loading.load(machine_ids=[each.pk for each in machines])
        by_person = readers.counted(tracks, effects=[shallow])
        both = readers.counted(
            tracks, effects=[shallow, effect(gauge=gauge.pk, mm=0.3)]
        )
        deeper = readers.counted(tracks, effects=[shallow, effect(gauge=gauge.pk)])

    assert by_person.deeper.tolist() == pytest.approx([0.3] * tracks.point_id.size)
    assert both.deeper.tolist() == by_person.deeper.tolist()
    assert (both.doubt >= by_person.doubt).all()
    assert deeper.deeper.max() == pytest.approx(0.6)


def test_person_who_reads_off_is_told_to_the_office_and_who_reads_alone_is_not(north):
    whose = north.memberships["TECHNICIAN"].pk
    alone = replace(effect(person=whose), off=False, mm=0.0, places=0)
    with acting_for(contractor_id=north.contractor.pk) as scope:
        told = said.of_people(scope, [effect(person=whose), alone])
        gauges = said.of_gauges([replace(alone, gauge=7, person=0)])

    assert [(each.off, each.size_mm) for each in told] == [(True, 0.3)]
    assert "shows too little wear at 24 places" in told[0].words
    assert told[0].name
    assert "nobody else reads them" in gauges[7][0].words


def test_dates_counted_on_a_deeper_level_are_never_later(north):
    """The last reading is a good gauge's: deeper earlier ones promise less wear."""
    machines = stored.machines(north, count=8)
    read_by(north, machines)
    effects = learnt(north)
    with acting_for(contractor_id=north.contractor.pk) as scope:
        known, _ = knowledge.latest(scope=scope)
        tracks = loading.load(machine_ids=[each.pk for each in machines])
        given = {
            "known": known,
            "counters": None,
            "rule": PlanningChances(),
            "as_of": NOW,
        }
        read = computing.compute(tracks=tracks, **given)[0]
        deep = computing.compute(
            tracks=readers.counted(tracks, effects=effects), **given
        )[0]

    assert (deep.said.plan <= read.said.plan).all()
    assert (deep.said.p10 <= read.said.p10).all()
    assert (deep.said.plan < read.said.plan).any()
    assert (deep.chance_before_visit >= read.chance_before_visit).all()
