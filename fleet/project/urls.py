"""The composition root of addresses: each app's own, named by dotted string."""

from django.contrib import admin
from django.urls import include, path

from fleet.platform.api import description
from fleet.platform.pages import preferences
from fleet.platform.watching import health
from fleet.platform.watching.metrics import page as metrics
from fleet.register import entering, factor_pages, session_pages

urlpatterns = [
    path("", health.front_door, name="front-door"),
    path("health/live", health.live, name="health-live"),
    path("health/ready", health.ready, name="health-ready"),
    path("metrics", metrics.page, name="metrics"),
    path("log-in", entering.LogIn.as_view(), name="log-in"),
    path("log-out", entering.LogOut.as_view(), name="log-out"),
    path("prefer", preferences.Prefer.as_view(), name="prefer"),
    path("", include("fleet.register.pages.urls")),
    path("", include("inspections.pages.urls")),
    path("", include("reports.pages.urls")),
    path("account", entering.account, name="account"),
    path("account/password", entering.ChangePassword.as_view(), name="change-password"),
    path(
        "account/second-factor",
        factor_pages.SetUpFactor.as_view(),
        name="set-up-factor",
    ),
    path(
        "account/sessions",
        session_pages.OpenSessions.as_view(),
        name="open-sessions",
    ),
    path("second-factor", factor_pages.ShowFactor.as_view(), name="second-factor"),
    path("confirm", factor_pages.Confirm.as_view(), name="confirm"),
    path("set-password", entering.OpenLink.as_view(), name="open-link"),
    path(
        "set-password/<uidb64>/<token>",
        entering.SetPassword.as_view(),
        name="set-password",
    ),
    path("admin/", admin.site.urls),
    path(
        "api/v1/schema",
        description.SchemaView.as_view(),
        name="schema",
    ),
    path("api/v1/", include("fleet.register.api.urls")),
    path("api/v1/", include("inspections.api.urls")),
    path("api/v1/", include("reports.api.urls")),
]

handler400 = "fleet.platform.api.errors.bad_request"
handler404 = "fleet.platform.api.errors.not_found"
handler500 = "fleet.platform.api.errors.server_error"
