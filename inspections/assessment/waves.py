"""Forces of ropes by the time of a wave [N], held against what the masses say."""

from collections.abc import Iterator, Mapping
from math import hypot

from inspections.assessment import tensions_read
from inspections.assessment.draft import Draft, plain
from inspections.assessment.known import Known
from inspections.assessment.tensions_read import Carried, TensionPlace
from inspections.engineering import tension, tensions
from inspections.engineering.machine import GRAVITY_M_S2
from inspections.engineering.source import Certainty
from inspections.engineering.suspension import RegisterSpread, Suspension
from inspections.engineering.tension import AgainstMasses, WaveTension
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import sightings
from inspections.models import Grade
from inspections.reasons import Code, Quantity, Term, Topic, because

# A stopwatch by hand, over all returns [s]; a tape over the rope; mass by certificate
# or table: common practice, no source.
TIME_SD_S = 0.2
LENGTH_SD_RATIO = 0.01
MASS_SD_RATIO = 0.03
SOURCE = (
    "derived; three standard uncertainties are a rule of this program, those of "
    "stopwatch, tape and rope mass common practice, no source"
)
# Where the car stood, as a share of the travel from the lowest landing.
_HEIGHTS = {"bottom": 0.0, "middle": 0.5, "top": 1.0}


def forces_of(
    known: Known, place: TensionPlace, read: Mapping[int, Carried]
) -> dict[int, WaveTension]:
    """Return the force of each rope whose length was noted or is registered."""
    mass_kg_per_m = known.rope.mass_kg_per_m if known.rope else None
    if place.kind != tensions_read.WAVE or mass_kg_per_m is None:
        return {}
    rope_set = known.snapshot.rope_set
    registered_m = rope_set.measured_length_m if rope_set else None
    readings = sightings.by_id(known.snapshot)
    found = {}
    for rope, carried in read.items():
        reading = readings[carried.pk]
        length_m = reading.place.get("length_m") or registered_m
        if not length_m or not reading.value:
            continue
        try:
            found[rope] = tension.tension_from_wave(
                time_s=reading.value,
                round_trips=tensions_read.returns_of(reading),
                length_m=float(length_m),
                mass_kg_per_m=mass_kg_per_m,
                time_sd_s=TIME_SD_S,
                length_sd_m=LENGTH_SD_RATIO * float(length_m),
                mass_sd_kg_per_m=MASS_SD_RATIO * mass_kg_per_m,
            )
        except OutsideValidity:
            continue
    return found


def findings(known: Known) -> Iterator[Draft]:
    """Yield where the ropes together carry something else than the masses say.

    Only where every rope of the set was read at one place, in the latest visit that
    read them so; the car is taken as empty.
    """
    hung, spread = known.suspension, known.spread
    if hung is None or spread is None:
        return
    ropes = len(known.snapshot.ropes)
    for visit in tensions_read.by_visit(known.snapshot):
        whole = {
            place: forces
            for place, read in visit.items()
            if len(forces := forces_of(known, place, read)) == ropes
        }
        for place, forces in whole.items():
            found = _held_against(hung, spread, place, forces)
            if found is not None and not found.agrees:
                readings = tuple(visit[place][rope].pk for rope in forces)
                yield _differs(place, forces, found, readings)
        if whole:
            return


def _held_against(
    hung: Suspension,
    spread: RegisterSpread,
    place: TensionPlace,
    forces: Mapping[int, WaveTension],
) -> AgainstMasses | None:
    height = _HEIGHTS.get(place.position)
    if height is None or place.side not in ("car", "counterweight"):
        return None
    car_n, other_n = tensions.rope_forces_n(
        suspension=hung,
        car_load_kg=0.0,
        car_height_m=height * hung.travel_m,
        acceleration_m_s2=0.0,
    )
    sd_kg = spread.car_mass_kg
    if place.side == "counterweight":
        sd_kg = spread.counterweight_mass_kg
        if hung.counterweight_mass_kg is None:
            balance_kg = spread.balance_ratio * hung.rated_load_kg
            sd_kg = hypot(spread.car_mass_kg, balance_kg)
    return tension.against_masses(
        tensions=tuple(forces.values()),
        expected_n=car_n if place.side == "car" else other_n,
        expected_sd_n=sd_kg * GRAVITY_M_S2 / hung.roping,
    )


def _differs(
    place: TensionPlace,
    forces: Mapping[int, WaveTension],
    found: AgainstMasses,
    readings: tuple[int, ...],
) -> Draft:
    off_n = abs(found.measured_n - found.expected_n)
    return Draft(
        topic=Topic.REGISTER,
        grade=Grade.KEEP_AN_EYE_ON,
        place=f"{place.side} at the {place.position}",
        rule=Term.AGREES_WITH_REGISTER,
        value=off_n,
        limit=3.0 * found.sd_n,
        margin=3.0 * found.sd_n - off_n,
        unit="N",
        source=SOURCE,
        how_sure=Certainty.COMMON_PRACTICE,
        reason=because(
            Code.ROPES_CARRY_OTHERWISE,
            read=Quantity(found.measured_n, "N"),
            expected=Quantity(found.expected_n, "N"),
        ),
        detail={
            "tensions": plain(tuple(forces.values())),
            "against_masses": plain(found),
        },
        readings=readings,
    )
