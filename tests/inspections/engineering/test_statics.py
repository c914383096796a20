"""Rope forces by a route of their own: each lump of rope cut free, a linear system."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.engineering.example import EXAMPLE_MACHINE
from inspections.engineering.machine import GRAVITY_M_S2
from inspections.engineering.tensions import rope_forces_n

LUMPS = 7


class Equations:
    """Forces as unknowns by name; each equation is coefficients and a right side."""

    def __init__(self):
        self.rows, self.names = [], {}

    def add(self, right, **terms):
        for name in terms:
            self.names.setdefault(name, len(self.names))
        self.rows.append((terms, right))

    def solve(self):
        left = np.zeros((len(self.rows), len(self.names)))
        right = np.array([value for _, value in self.rows])
        for number, (terms, _) in enumerate(self.rows):
            for name, factor in terms.items():
                left[number, self.names[name]] = factor
        found = np.linalg.solve(left, right)
        return {name: float(found[number]) for name, number in self.names.items()}


def hang(equations, side, of, *, mass_kg, fall_m, below_m, upward):
    """Cut one side free: lumps of the live fall, what hangs, lumps of compensation."""
    at_rope = GRAVITY_M_S2 + of.roping * upward
    lump_kg = of.ropes_kg_per_m * fall_m / LUMPS
    for n in range(LUMPS):
        equations.add(
            lump_kg * at_rope, **{f"{side}_rope{n}": 1.0, f"{side}_rope{n + 1}": -1.0}
        )
    # A pulley without mass carries what two falls pull, a hitch what one does.
    equations.add(
        mass_kg * (GRAVITY_M_S2 + upward),
        **{f"{side}_rope{LUMPS}": float(of.roping), f"{side}_below0": -1.0},
    )
    lump_kg = of.compensation_kg_per_m * below_m / LUMPS
    for n in range(LUMPS):
        equations.add(
            lump_kg * (GRAVITY_M_S2 + upward),
            **{f"{side}_below{n}": 1.0, f"{side}_below{n + 1}": -1.0},
        )


def by_statics(of, *, load, height, upward):
    equations = Equations()
    above = of.travel_m - height
    hang(
        equations,
        "car",
        of,
        mass_kg=of.car_mass_kg + load,
        fall_m=above,
        below_m=height,
        upward=upward,
    )
    hang(
        equations,
        "other",
        of,
        mass_kg=of.balancing_mass_kg,
        fall_m=height,
        below_m=above,
        upward=-upward,
    )
    # The tension device hangs at rest in the loop of the compensation.
    ends = {f"car_below{LUMPS}": 1.0, f"other_below{LUMPS}": 1.0}
    equations.add(of.tension_device_kg * GRAVITY_M_S2, **ends)
    equations.add(0.0, **(ends | {f"other_below{LUMPS}": -1.0}))
    found = equations.solve()
    return found["car_rope0"], found["other_rope0"]


@given(
    roping=st.sampled_from([1, 2]),
    load=st.floats(0.0, 1250.0),
    height=st.floats(0.0, 30.0),
    upward=st.floats(-2.0, 2.0),
    compensation=st.floats(0.0, 5.0),
    device=st.floats(0.0, 400.0),
)
@settings(max_examples=60, deadline=None)
def test_forces_are_those_of_every_lump_cut_free(
    roping, load, height, upward, compensation, device
):
    of = replace(
        EXAMPLE_MACHINE,
        roping=roping,
        compensation_kg_per_m=compensation,
        tension_device_kg=device,
    )

    told = rope_forces_n(
        suspension=of,
        car_load_kg=load,
        car_height_m=height,
        acceleration_m_s2=upward,
    )

    assert told == pytest.approx(
        by_statics(of, load=load, height=height, upward=upward), rel=1e-9
    )
