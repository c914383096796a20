from django.urls import path
from rest_framework.routers import SimpleRouter

from fleet.register.api import audit, contractor, exchange, people, tokens, views
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
    for name in (
        *(f"{n}.{form}" for n in everything.outgoing() for form in ("csv", "jsonl")),
        "register.zip",
        "everything.zip",
        "everything.jsonl.zip",
    )
]
me = path("me", people.MeView.as_view(), name="me")
settings = path("contractor", contractor.ContractorView.as_view(), name="contractor")
urlpatterns = [*router.urls, me, settings, *imports, *exports]
