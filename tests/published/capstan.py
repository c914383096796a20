"""The capstan equation, for sources that print a rope round something round."""

from inspections.engineering.traction import exponent, limit_ratio


def ratio(friction, *angles_rad):
    """Ratio of the forces that a rope holds over plain arcs, one after the other."""
    return limit_ratio(
        exponent=exponent(
            friction_coefficient=friction,
            factor_ratios=(1.0,) * len(angles_rad),
            angles_rad=angles_rad,
        )
    )
