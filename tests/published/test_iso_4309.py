"""ISO 4309, cranes, for comparison only. Status: from memory, to be confirmed."""

from inspections.engineering import criteria


def test_uniform_decrease_of_steel_core_ropes():
    cranes = criteria.find(code="ISO_4309")

    found = criteria.lookup(criteria_set=cranes, key="diameter_reduction_unworn")

    assert found.value == 7.5
    assert "10 % with a single-layer fibre core" in found.note
    assert cranes.comparison_only
