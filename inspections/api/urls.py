from django.urls import path
from rest_framework.routers import SimpleRouter

from inspections.api import uploads, views

router = SimpleRouter(trailing_slash=False)
router.register("gauges", views.GaugeViewSet)
router.register("visits", views.VisitViewSet)
router.register("readings", views.ReadingViewSet)
router.register("assessments", views.AssessmentViewSet)
router.register("findings", views.FindingViewSet)
router.register("forecasts", views.ForecastViewSet)

urlpatterns = [
    path("uploads", uploads.UploadView.as_view(), name="uploads"),
    path(
        "machines/<int:pk>/condition", views.ConditionView.as_view(), name="condition"
    ),
    *router.urls,
]
