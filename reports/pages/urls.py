"""Addresses of Today and of the reports."""

from django.urls import path

from reports.pages import listing, today

urlpatterns = [
    path("today", today.TodayPage.as_view(), name="today"),
    path("reports", listing.Reports.as_view(), name="reports"),
]
