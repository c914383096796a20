"""The steps of setting up, in the order in which plate, drawing and a look answer."""

from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext_lazy

from fleet.platform.database.tenancy import Scope
from fleet.register.models import Machine, Pulley, RopeSet, Sheave
from inspections.models import Reading

# A few of what is asked there that a machine has.
LIMITS_OF_MACHINE = (
    "shaft_load_limit_kn",
    "beam_load_limit_kn",
    "brake_torque_nm",
    "motor_torque_nm",
    "top_clearance_mm",
    "hitch_thread_mm",
)
_STEPS = (
    ("set-up-plate", gettext_lazy("The plate")),
    ("set-up-sheave", gettext_lazy("The sheave and its grooves")),
    ("set-up-ropes", gettext_lazy("The ropes")),
    ("set-up-loads", gettext_lazy("What hangs on them")),
    ("set-up-wrap", gettext_lazy("How the ropes run")),
    ("set-up-readings", gettext_lazy("First readings")),
)
# Of use for changes that are tried: nothing leads there by itself.
_BESIDES = (("set-up-limits", gettext_lazy("What the machine is made for")),)
NAMES = tuple(name for name, _ in _STEPS)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepWay:
    """One step as it is listed: where it is, and whether something was said there."""

    address: str
    words: str
    number: int
    is_here: bool
    is_done: bool


def ways(*, scope: Scope, machine: Machine | None, here: str) -> list[StepWay]:
    """Return the steps of a machine; of one that is not there yet they lead nowhere."""
    done = _done(scope, machine) if machine is not None else {}
    return [
        StepWay(
            address=reverse(name, args=(machine.pk,)) if machine is not None else "",
            words=str(words),
            number=number,
            is_here=name == here,
            is_done=done.get(name, False),
        )
        for number, (name, words) in enumerate((*_STEPS, *_BESIDES), start=1)
    ]


def after(name: str, *, machine_id: int) -> str:
    """Return the address of the step that comes next, the machine's own at the end."""
    position = NAMES.index(name) + 1 if name in NAMES else len(NAMES)
    following = NAMES[position] if position < len(NAMES) else "machine"
    return reverse(following, args=(machine_id,))


def _done(scope: Scope, machine: Machine) -> dict[str, bool]:
    loads = (machine.car_mass_kg, machine.counterweight_mass_kg, machine.balance_ratio)
    sheaves = Sheave.objects.within(scope).filter(machine=machine, retired_on=None)
    sets = RopeSet.objects.within(scope).filter(machine=machine, retired_on=None)
    pulleys = Pulley.objects.within(scope).filter(machine=machine, retired_on=None)
    return {
        "set-up-plate": machine.rated_load_kg is not None,
        "set-up-sheave": sheaves.filter(geometries__isnull=False).exists(),
        "set-up-ropes": sets.exists(),
        "set-up-loads": any(value is not None for value in loads),
        "set-up-wrap": machine.wrap_angle_deg is not None or pulleys.exists(),
        "set-up-limits": any(
            getattr(machine, name) is not None for name in LIMITS_OF_MACHINE
        ),
        "set-up-readings": Reading.objects.within(scope)
        .filter(machine=machine)
        .exists(),
    }
