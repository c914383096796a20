"""EN 81-1:1977/1985, clause 9: older traction terms. Status: from memory."""

from inspections.engineering import criteria


def test_set_of_1985_uses_its_own_friction():
    older = criteria.find(code="EN_81_1_1985")

    assert older.traction.mu_loading == 0.09
    assert not older.traction.borrowed
    assert older.traction.dynamic_factors == (
        (0.63, 1.10),
        (1.0, 1.15),
        (1.6, 1.20),
        (2.5, 1.25),
    )
