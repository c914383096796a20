"""Addresses of Today, of machines, of reports, and of buildings as owners see them."""

from django.urls import path

from reports.pages import (
    addresses_refused,
    building,
    links,
    listing,
    machine,
    mailed,
    ordering,
    planning,
    report,
    today,
)

urlpatterns = [
    path("today", today.TodayPage.as_view(), name="today"),
    path("report-links", links.ReportLinks.as_view(), name="report-links"),
    path("report-links/again", links.AskForLink.as_view(), name="ask-for-link"),
    path(
        "report-links/<str:signed>",
        links.EarlierReportLink.as_view(),
        name="report-link-page",
    ),
    path("machines/<int:pk>", machine.WholeMachinePage.as_view(), name="machine"),
    path("machines/<int:pk>/answer", building.AnswerPage.as_view(), name="answer"),
    path("estate", building.Buildings.as_view(), name="estate"),
    path("estate/<int:pk>", building.BuildingPage.as_view(), name="estate-building"),
    path("answers/<int:pk>/seen", building.SeeAnswer.as_view(), name="see-answer"),
    path("reports", listing.Reports.as_view(), name="reports"),
    path("reports/links", mailed.MailedLinks.as_view(), name="mailed-links"),
    path(
        "reports/links/<int:pk>/end", mailed.EndLink.as_view(), name="end-mailed-link"
    ),
    path(
        "reports/addresses",
        addresses_refused.RefusedAddresses.as_view(),
        name="refused-addresses",
    ),
    path(
        "reports/addresses/<int:pk>/clear",
        addresses_refused.ClearAddress.as_view(),
        name="clear-address",
    ),
    path("reports/new", ordering.OrderReport.as_view(), name="order-report"),
    path("reports/<int:pk>", report.ReportPage.as_view(), name="report"),
    path("reports/<int:pk>/send", report.SendReport.as_view(), name="send-report"),
    path("reports/plans/new", planning.PlanReport.as_view(), name="plan-report"),
    path(
        "reports/plans/<int:pk>",
        planning.PlanReport.as_view(),
        name="change-report-plan",
    ),
]
