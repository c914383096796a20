from datetime import UTC, datetime

import pytest

from inspections.engineering import criteria, discard
from inspections.engineering.discard import (
    DiameterSighting,
    Observation,
    counting_diameters_mm,
)
from inspections.engineering.evidence import Sighting
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Outcome


def read(value_mm, month, mark="top", person=1, spread_mm=0.0):
    return DiameterSighting(
        diameters_mm=(value_mm - spread_mm, value_mm + spread_mm),
        seen=Sighting(
            value_mm=value_mm,
            sd_mm=0.05,
            taken_at=datetime(2030, month, 1, tzinfo=UTC),
            visit=month,
            person=person,
            gauge=person,
            mark=mark,
        ),
    )


def outcome(*sightings):
    verdicts = discard.judge_stations(
        observations=tuple(
            Observation(nominal_diameter_mm=13.0, diameters_mm=pair)
            for pair in counting_diameters_mm(sightings=sightings)
        ),
        criteria_set=criteria.find(code="EN_81_20"),
    )
    return {v.criterion: v.outcome for v in verdicts}["diameter_reduction_nominal"]


def test_thicker_reading_elsewhere_never_clears_a_thin_one():
    assert outcome(read(12.0, 3), read(12.25, 9, "middle", 2)) is Outcome.MET


def test_one_thicker_reading_at_the_same_mark_is_not_enough():
    assert outcome(read(12.0, 3), read(12.5, 6, person=2)) is Outcome.MET


def test_two_later_ones_by_others_bound_the_thin_one():
    later = (read(12.5, 6, person=2), read(12.5, 9, person=3))

    found = counting_diameters_mm(sightings=(read(12.0, 3, spread_mm=0.1), *later))

    assert found[0] == pytest.approx((12.3, 12.5))
    assert outcome(read(12.0, 3), *later) is Outcome.NOT_MET


def test_no_diameter_is_refused():
    with pytest.raises(OutsideValidity, match="diameters_mm"):
        DiameterSighting(diameters_mm=(), seen=read(12.0, 3).seen)
