from rest_framework.routers import SimpleRouter

from reports.api import views

router = SimpleRouter(trailing_slash=False)
router.register("reports", views.ReportViewSet)

urlpatterns = router.urls
