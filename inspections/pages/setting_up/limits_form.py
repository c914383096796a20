"""What the maker says a machine bears, and the room there is in its shaft."""

from django.utils.translation import gettext_lazy as _

from fleet.platform.pages.forms import NumberField, QuantityField
from inspections.pages.setting_up.forms import StepForm


class LimitsForm(StepForm):
    """Everything may stay empty: what is not entered is not compared, and said."""

    shaft_load_limit_kn = QuantityField(
        label=_("Greatest load on the sheave's shaft and bearings"),
        quantity="force",
        metric="kN",
        kept_in="kN",
        required=False,
        help_text=_("By the maker; without the sheave's own weight."),
    )
    beam_load_limit_kn = QuantityField(
        label=_("Greatest load on the machine beams"),
        quantity="force",
        metric="kN",
        kept_in="kN",
        required=False,
    )
    machine_mass_kg = QuantityField(
        label=_("Mass of machine, sheave and deflector together"),
        quantity="mass",
        required=False,
    )
    brake_torque_nm = NumberField(
        label=_("Torque of the brake in N·m"),
        required=False,
        help_text=_(
            "At its own shaft, as the maker's plate has it; 1 lbf·ft is 1.356 N·m."
        ),
    )
    motor_torque_nm = NumberField(
        label=_("Torque of the motor in N·m"),
        required=False,
        help_text=_(
            "At its own shaft, as the maker's plate has it; 1 lbf·ft is 1.356 N·m."
        ),
    )
    gear_turns = NumberField(
        label=_("Turns of the motor for one of the sheave"),
        required=False,
        least=1,
        most=500,
        help_text=_("Only where there is a gear."),
    )
    gear_efficiency = NumberField(
        label=_("Efficiency of the gear, motor driving"),
        required=False,
        least=0.05,
        most=1,
        help_text=_("Such as 0.7; only where there is a gear."),
    )
    top_clearance_mm = QuantityField(
        label=_("Free above the car, counterweight on its compressed buffer"),
        quantity="length",
        required=False,
        least=0,
    )
    top_clearance_least_mm = QuantityField(
        label=_("What has to be free there"), quantity="length", required=False
    )
    hitch_thread_mm = QuantityField(
        label=_("Thread left to tighten at the hitches"),
        quantity="length",
        required=False,
        least=0,
    )
