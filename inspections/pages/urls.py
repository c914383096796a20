"""Addresses of the pages of machines and readings."""

from django.urls import include, path

from inspections.pages import (
    acting,
    budget,
    bulk,
    done,
    field,
    finding,
    gauges,
    handing_over,
    machine,
    moving,
    planning,
    portfolio,
    portfolio_file,
    service,
    stop,
    works,
)

urlpatterns = [
    path("", include("inspections.pages.setting_up.urls")),
    path("", include("inspections.pages.terms.urls")),
    path("portfolio", portfolio.Portfolio.as_view(), name="portfolio"),
    path(
        "portfolio/by-building",
        portfolio.ByGroup.as_view(by="building"),
        name="portfolio-by-building",
    ),
    path(
        "portfolio/by-owner",
        portfolio.ByGroup.as_view(by="owner"),
        name="portfolio-by-owner",
    ),
    path("portfolio/by-part", portfolio.ByPart.as_view(), name="portfolio-by-part"),
    path(
        "portfolio.csv", portfolio_file.PortfolioFile.as_view(), name="portfolio-file"
    ),
    path("field/", field.shell, name="field"),
    path("field/manifest.webmanifest", field.manifest, name="field-manifest"),
    path("field/worker.js", field.worker, name="field-worker"),
    path("service", service.ServicePage.as_view(), name="service"),
    path("service/retry", service.RetryJobs.as_view(), name="retry-jobs"),
    path("hand-overs", handing_over.HandOvers.as_view(), name="hand-overs"),
    path("hand-overs/take", handing_over.TakeMachine.as_view(), name="take-machine"),
    path(
        "hand-overs/<int:pk>/file",
        handing_over.HandOverFile.as_view(),
        name="hand-over-file",
    ),
    path(
        "hand-overs/<int:pk>/close",
        handing_over.CloseHandOver.as_view(),
        name="close-hand-over",
    ),
    path(
        "hand-overs/<int:pk>/withdraw",
        handing_over.WithdrawHandOver.as_view(),
        name="withdraw-hand-over",
    ),
    path(
        "machines/<int:pk>/hand-over",
        handing_over.OfferMachine.as_view(),
        name="offer-machine",
    ),
    path("calendar", planning.CalendarPage.as_view(), name="calendar"),
    path("budget", budget.BudgetPage.as_view(), name="budget"),
    path("works", works.WorkList.as_view(), name="works"),
    path("works/join", works.JoinHoisting.as_view(), name="join-hoisting"),
    path("works/<int:pk>", works.WorkPage.as_view(), name="planned-work"),
    path("works/<int:pk>/change", works.ChangeWork.as_view(), name="change-work"),
    path("works/<int:pk>/done", done.ReportDone.as_view(), name="report-done"),
    path("gauges", gauges.Gauges.as_view(), name="gauges"),
    path("gauges/new", gauges.GaugePage.as_view(), name="new-gauge"),
    path("gauges/<int:pk>", gauges.GaugePage.as_view(), name="gauge"),
    path("visits/<int:pk>/move", moving.MoveVisit.as_view(), name="move-visit"),
    path("machines/<int:pk>/done", done.ReportWork.as_view(), name="report-work"),
    path("machines/<int:pk>/plan", works.PlanWork.as_view(), name="plan-work"),
    path("stops/<int:pk>", stop.StopPage.as_view(), name="stop"),
    path("stops/<int:pk>/accept", stop.AcceptStop.as_view(), name="accept-stop"),
    path("stops/<int:pk>/refute", stop.RefuteStop.as_view(), name="refute-stop"),
    path("stop-releases", bulk.BulkReleases.as_view(), name="bulk-releases"),
    path(
        "stop-releases/<int:pk>",
        bulk.ConfirmBulkRelease.as_view(),
        name="bulk-release",
    ),
    path("findings/<int:pk>", finding.FindingPage.as_view(), name="finding"),
    path("readings/<int:pk>", machine.ReadingPage.as_view(), name="reading"),
    path(
        "readings-to-confirm",
        acting.ReadingsToConfirm.as_view(),
        name="readings-to-confirm",
    ),
    path(
        "stops/<int:pk>/acknowledge",
        acting.AcknowledgeStop.as_view(),
        name="acknowledge-stop",
    ),
]
