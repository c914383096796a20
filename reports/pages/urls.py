"""Addresses of Today and of the reports."""

from django.urls import path

from reports.pages import links, listing, today

urlpatterns = [
    path("today", today.TodayPage.as_view(), name="today"),
    path(
        "report-links/<str:signed>", links.ReportLink.as_view(), name="report-link-page"
    ),
    path("reports", listing.Reports.as_view(), name="reports"),
]
