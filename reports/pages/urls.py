"""Addresses of Today and of the reports."""

from django.urls import path

from reports.pages import links, listing, machine, today

urlpatterns = [
    path("today", today.TodayPage.as_view(), name="today"),
    path(
        "report-links/<str:signed>", links.ReportLink.as_view(), name="report-link-page"
    ),
    path("machines/<int:pk>", machine.WholeMachinePage.as_view(), name="machine"),
    path("reports", listing.Reports.as_view(), name="reports"),
]
