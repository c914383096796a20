"""The composition root of addresses: each app's own, named by dotted string."""

from django.contrib import admin
from django.contrib.auth.views import LogoutView
from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from fleet import health, pages
from fleet.metrics import page as metrics

urlpatterns = [
    path("", health.front_door, name="front-door"),
    path("health/live", health.live, name="health-live"),
    path("health/ready", health.ready, name="health-ready"),
    path("metrics", metrics.page, name="metrics"),
    path("log-in", pages.LogIn.as_view(), name="log-in"),
    path("log-out", LogoutView.as_view(), name="log-out"),
    path("account", pages.account, name="account"),
    path("account/password", pages.ChangePassword.as_view(), name="change-password"),
    path(
        "set-password/<uidb64>/<token>",
        pages.SetPassword.as_view(),
        name="set-password",
    ),
    path("admin/", admin.site.urls),
    path(
        "api/v1/schema",
        SpectacularAPIView.as_view(authentication_classes=[], permission_classes=[]),
        name="schema",
    ),
    path("api/v1/", include("fleet.api.urls")),
    path("api/v1/", include("inspections.api.urls")),
    path("api/v1/", include("reports.api.urls")),
]

handler400 = "fleet.api.errors.bad_request"
handler404 = "fleet.api.errors.not_found"
handler500 = "fleet.api.errors.server_error"
