"""Addresses of the pages of machines and readings."""

from django.urls import include, path

from inspections.pages import (
    acting,
    budget,
    bulk,
    done,
    finding,
    machine,
    planning,
    portfolio,
    portfolio_file,
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
    path("calendar", planning.Calendar.as_view(), name="calendar"),
    path("budget", budget.BudgetPage.as_view(), name="budget"),
    path("works", works.WorkList.as_view(), name="works"),
    path("works/join", works.JoinHoisting.as_view(), name="join-hoisting"),
    path("works/<int:pk>", works.WorkPage.as_view(), name="planned-work"),
    path("works/<int:pk>/change", works.ChangeWork.as_view(), name="change-work"),
    path("works/<int:pk>/done", done.ReportDone.as_view(), name="report-done"),
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
