"""What each step asks; every value may stay empty that need not be known."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from fleet.platform.choices import FieldSource
from fleet.platform.pages.forms import DayField, NumberField, PageForm, QuantityField
from fleet.register import choices
from fleet.register.models import Building, Machine
from inspections.pages import laying

SAID_BY = "said_by"


def _any_of(found: Any) -> list[tuple[str, Any]]:
    return [("", _("not known")), *found]


class StepForm(PageForm):
    """Says of each step where its values come from."""

    said_by = forms.ChoiceField(
        label=_("Where you have this from"),
        choices=_any_of(FieldSource.choices),
        required=False,
        help_text=_("What is assumed counts as known less closely."),
    )

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        # Asked last, as it is of everything above.
        self.order_fields([*(n for n in self.fields if n != SAID_BY), SAID_BY])


class PlateForm(StepForm):
    """Where the machine stands, and what its plate says."""

    building = forms.ModelChoiceField(
        label=_("Building"), queryset=Building.objects.none()
    )
    code = forms.SlugField(
        label=_("Short name of the machine"),
        max_length=50,
        help_text=_("Letters, digits, - and _; it stays for ever."),
    )
    name = forms.CharField(label=_("Name"), max_length=200)
    drive_kind = forms.ChoiceField(
        label=_("Drive"),
        choices=[("", _("Choose")), *choices.DriveKind.choices],
        help_text=_("Whether a gear stands between motor and sheave."),
    )
    roping_ratio = NumberField(
        label=_("Roping"),
        whole=True,
        least=1,
        most=8,
        help_text=_("1 for 1:1, 2 for 2:1 and so on."),
    )
    rated_load_kg = QuantityField(
        label=_("Rated load"), quantity="mass", required=False
    )
    rated_speed_m_s = QuantityField(
        label=_("Rated speed"), quantity="speed", required=False
    )
    installed_on = DayField(label=_("Installed on"), required=False)
    machine_room = forms.CharField(
        label=_("Machine room"),
        required=False,
        max_length=60,
        help_text=_(
            "As the house calls it. Machines of one room share access and hoisting."
        ),
    )


class NewMachineForm(PlateForm):
    """The same of a machine that is not there yet, from its sister if it has one."""

    sister = forms.ModelChoiceField(
        label=_("Copy from a sister machine"),
        queryset=Machine.objects.none(),
        required=False,
        help_text=_(
            "What you do not say here is taken over from it, with sheave, grooves and "
            "ropes, and counts as assumed until you have looked."
        ),
    )


class SheaveForm(StepForm):
    """The sheave as the drawing has it, and its grooves as cut."""

    fitted_on = DayField(
        label=_("Installed on"),
        help_text=_("It wears from then on; the installation if it is the first."),
    )
    form = forms.ChoiceField(
        label=_("Form of the grooves"),
        choices=[("", _("Choose")), *choices.GrooveForm.choices],
    )
    grooves_count = NumberField(
        label=_("Number of grooves"), whole=True, least=1, most=24
    )
    pitch_diameter_new_mm = QuantityField(
        label=_("Pitch diameter when new"), quantity="length", required=False
    )
    groove_angle_deg = NumberField(
        label=_("Groove angle in degrees"),
        required=False,
        least=0,
        most=90,
        help_text=_(
            "V: the angle between the flanks. Others: how far the mouth opens; 0 if it "
            "does not."
        ),
    )
    undercut_angle_deg = NumberField(
        label=_("Undercut angle in degrees"), required=False, least=0, most=120
    )
    seat_radius_mm = QuantityField(
        label=_("Radius of the seat"), quantity="length", required=False
    )
    surface = forms.ChoiceField(
        label=_("What the ropes run on"), choices=choices.SurfaceKind.choices
    )
    groove_pitch_mm = QuantityField(
        label=_("From groove to groove"), quantity="length", required=False
    )
    hardened_depth_mm = QuantityField(
        label=_("Depth of a hardened layer"),
        quantity="length",
        required=False,
        help_text=_("0 if the grooves are not hardened."),
    )
    rim_construction = forms.ChoiceField(
        label=_("How the rim is made"),
        choices=_any_of(choices.RimConstruction.choices),
        required=False,
    )
    minimum_pitch_diameter_mm = QuantityField(
        label=_("Least pitch diameter by the maker"), quantity="length", required=False
    )
    minimum_rim_mm = QuantityField(
        label=_("Least metal under a groove by the maker"),
        quantity="length",
        required=False,
    )
    datum_mark = forms.CharField(
        label=_("How mark A and groove 1 are told"),
        max_length=200,
        required=False,
        help_text=_("Such as: A at the keyway, groove 1 nearest the gear."),
    )


class RopesForm(StepForm):
    """The set of ropes, by its tag or certificate and a look."""

    fitted_on = DayField(label=_("Fitted on"))
    suspension = forms.ChoiceField(
        label=_("What the car hangs on"), choices=choices.SuspensionKind.choices
    )
    ropes_count = NumberField(label=_("Number of ropes"), whole=True, least=1, most=20)
    nominal_diameter_mm = QuantityField(label=_("Nominal diameter"), quantity="length")
    layout = forms.ChoiceField(
        label=_("Which grooves the ropes run in"),
        choices=laying.LAYOUTS,
        help_text=_("Two each in double wrap only, the first next to the car."),
    )
    strand_class = forms.ChoiceField(
        label=_("Strands"),
        choices=_any_of(choices.StrandClass.choices),
        required=False,
    )
    core = forms.ChoiceField(
        label=_("Core"), choices=_any_of(choices.RopeCore.choices), required=False
    )
    outer_grade_mpa = NumberField(
        label=_("Grade of the outer wires in MPa"), whole=True, required=False
    )
    inner_grade_mpa = NumberField(
        label=_("Grade of the inner wires in MPa"), whole=True, required=False
    )
    certificate = forms.CharField(
        label=_("Certificate"), max_length=100, required=False
    )
    breaking_force_kn = QuantityField(
        label=_("Breaking force of one rope, by its certificate"),
        quantity="force",
        metric="kN",
        kept_in="kN",
        required=False,
    )
    mass_kg_m = NumberField(label=_("Mass of one rope in kg per metre"), required=False)
    length_m = QuantityField(
        label=_("Length of one rope, from hitch to hitch"),
        quantity="length",
        metric="m",
        inch="ft",
        kept_in="m",
        required=False,
        help_text=_("Empty: worked out from travel, roping and wrap."),
    )


class LoadsForm(StepForm):
    """The masses that the sheave carries."""

    car_mass_kg = QuantityField(
        label=_("Mass of the empty car"), quantity="mass", required=False
    )
    counterweight_mass_kg = QuantityField(
        label=_("Mass of the counterweight"), quantity="mass", required=False
    )
    balance_ratio = NumberField(
        label=_("Balance, as a share of the rated load"),
        required=False,
        least=0,
        most=1,
        help_text=_("Such as 0.45."),
    )
    travel_m = QuantityField(
        label=_("Travel"),
        quantity="length",
        metric="m",
        inch="ft",
        kept_in="m",
        required=False,
        help_text=_("Between the lowest and the highest landing."),
    )
    compensation_mass_kg_m = NumberField(
        label=_("Compensation in kg per metre"),
        required=False,
        help_text=_("All ropes or chains together; 0 if there are none."),
    )
    tension_device_mass_kg = QuantityField(
        label=_("Mass of the compensation's tension device"),
        quantity="mass",
        required=False,
        help_text=_("0 if there is none."),
    )
    travelling_cable_mass_kg_m = NumberField(
        label=_("Travelling cables in kg per metre"),
        required=False,
        help_text=_("All together; 0 if there are none."),
    )
    stalled_drive = forms.ChoiceField(
        label=_("Car or counterweight has landed and the drive turns on"),
        choices=choices.StalledDrive.choices,
    )
    braking_deceleration_m_s2 = NumberField(
        label=_("Deceleration in an emergency stop in m/s²"), required=False
    )
    trips_per_day = NumberField(
        label=_("Trips in a day"),
        required=False,
        help_text=_("Up and down counted singly."),
    )


class WrapForm(StepForm):
    """How often and how far the ropes pass the sheave."""

    wrap = forms.ChoiceField(label=_("Wrap"), choices=choices.Wrap.choices)
    wrap_angle_deg = NumberField(
        label=_("Angle of wrap in degrees"),
        required=False,
        least=60,
        most=480,
        help_text=_("In all, on the drive sheave. Empty: from the pulleys."),
    )
    pulley_number = NumberField(
        label=_("A pulley more: its number from the car's end of the ropes"),
        whole=True,
        required=False,
        least=1,
    )
    pulley_kind = forms.ChoiceField(
        label=_("What pulley it is"),
        choices=[("", _("no pulley to add")), *choices.PulleyKind.choices],
        required=False,
    )
    pulley_bend = forms.ChoiceField(
        label=_("How the ropes bend there"),
        choices=choices.Bend.choices,
        required=False,
        help_text=_("Reverse: the other way round than on the sheave."),
    )
    pulley_diameter_mm = QuantityField(
        label=_("Its diameter"), quantity="length", required=False
    )
    pulley_offset_x_mm = QuantityField(
        label=_("How far beside the sheave's centre"), quantity="length", required=False
    )
    pulley_drop_h_mm = QuantityField(
        label=_("How far below the sheave's centre"), quantity="length", required=False
    )
    pulley_fitted_on = DayField(label=_("Installed on"), required=False)
