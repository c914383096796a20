"""Addresses of setting up a machine, and of the building it stands in."""

from django.urls import path
from django.utils.translation import gettext_lazy

from fleet.register.pages import places
from inspections.engineering import criteria
from inspections.pages.setting_up import first_readings, machine, pulley, ropes, sheave

_SETS = tuple(
    (each.code, gettext_lazy(each.title))
    for each in criteria.ALL
    if not each.comparison_only
)
_AT = "machines/<int:pk>/set-up"

urlpatterns = [
    path(
        "buildings/new",
        places.ChangeBuilding.as_view(criteria_sets=_SETS),
        name="new-building",
    ),
    path(
        "buildings/<int:pk>",
        places.ChangeBuilding.as_view(criteria_sets=_SETS),
        name="building",
    ),
    path("machines/new", machine.NewMachine.as_view(), name="new-machine"),
    path(f"{_AT}/plate", machine.Plate.as_view(), name="set-up-plate"),
    path(f"{_AT}/sheave", sheave.SheaveStep.as_view(), name="set-up-sheave"),
    path(f"{_AT}/ropes", ropes.Ropes.as_view(), name="set-up-ropes"),
    path(f"{_AT}/loads", machine.Loads.as_view(), name="set-up-loads"),
    path("pulleys/<int:pk>", pulley.PulleyPage.as_view(), name="pulley"),
    path(f"{_AT}/limits", machine.LimitsPage.as_view(), name="set-up-limits"),
    path(f"{_AT}/wrap", machine.WrapPage.as_view(), name="set-up-wrap"),
    path(
        f"{_AT}/readings",
        first_readings.ReadingsStep.as_view(),
        name="set-up-readings",
    ),
]
