from rest_framework.routers import SimpleRouter

from fleet.api import views

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

urlpatterns = router.urls
