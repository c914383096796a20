from django.urls import path
from rest_framework.routers import SimpleRouter

from fleet.register.api import (
    audit,
    contractor,
    exchange,
    export_files,
    field,
    import_files,
    people,
    second_factor,
    tokens,
    views,
)
from fleet.register.exchange import everything
from fleet.register.exchange.register import RESOURCES

router = SimpleRouter(trailing_slash=False)
router.register("owners", views.OwnerViewSet)
router.register("buildings", views.BuildingViewSet)
router.register("machines", views.MachineViewSet)
router.register("pulleys", views.PulleyViewSet)
router.register("sheaves", views.SheaveViewSet)
router.register("sheave-geometries", views.SheaveGeometryViewSet)
router.register("grooves", views.GrooveViewSet)
router.register("rope-sets", views.RopeSetViewSet)
router.register("ropes", views.RopeViewSet)
router.register("rope-seats", views.RopeInGrooveViewSet)
router.register("works", views.WorkViewSet)
router.register("jobs", views.JobViewSet)
router.register("people", people.PeopleViewSet)
router.register("audit", audit.AuditViewSet)
router.register("exports", export_files.ExportFileViewSet)
router.register("imports", import_files.ImportFileViewSet)
router.register("tokens", tokens.TokenViewSet)

# One address for each kind of file, so that the app above adds its own beside them.
imports = [
    address
    for name in RESOURCES
    for address in (
        path(f"imports/{name}", exchange.ImportView.as_view(resource=name)),
        path(f"imports/{name}/template", exchange.TemplateView.as_view(resource=name)),
    )
]
exports = [
    path(f"exports/{name}", exchange.ExportView.as_view(resource=name))
    for name in everything.file_names()
]
me = path("me", people.MeView.as_view(), name="me")
settings = path("contractor", contractor.ContractorView.as_view(), name="contractor")
_FACTOR = {
    "": ("second-factor-api", second_factor.FactorsView),
    "/codes": ("second-factor-codes", second_factor.CodesView),
    "/codes/<int:pk>/confirm": (
        "second-factor-codes-confirm",
        second_factor.ConfirmCodesView,
    ),
    "/passkey-options": (
        "second-factor-passkey-options",
        second_factor.PasskeyOptionsView,
    ),
    "/passkeys": ("second-factor-passkeys", second_factor.PasskeysView),
    "/challenge": ("second-factor-challenge", second_factor.ChallengeView),
    "/verify": ("second-factor-verify", second_factor.VerifyView),
    "/recovery-codes": (
        "second-factor-recovery-codes",
        second_factor.RecoveryCodesView,
    ),
    "/<int:pk>/remove": ("second-factor-remove", second_factor.RemoveView),
}
factor = [
    path(f"second-factor{rest}", view.as_view(), name=name)
    for rest, (name, view) in _FACTOR.items()
]
confirm = path(
    "confirm-password",
    second_factor.ConfirmPasswordView.as_view(),
    name="confirm-password",
)
pair = path("field/pairing", field.PairingView.as_view(), name="field-pairing")
urlpatterns = [
    *router.urls,
    me,
    settings,
    confirm,
    pair,
    *factor,
    *imports,
    *exports,
]
