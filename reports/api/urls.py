from django.urls import path
from rest_framework.routers import SimpleRouter

from reports.api import deliveries, figures, plans

router = SimpleRouter(trailing_slash=False)
router.register("reports", figures.ReportFigureViewSet)
router.register("report-plans", plans.ReportPlanViewSet)
router.register("deliveries", deliveries.DeliveryViewSet)
router.register("refused-addresses", deliveries.RefusedAddressViewSet)

urlpatterns = [
    *router.urls,
    path("report-links", deliveries.ReportCode.as_view(), name="report-code"),
    path(
        "report-links/<str:signed>",
        deliveries.ReportLink.as_view(),
        name="report-link",
    ),
]
