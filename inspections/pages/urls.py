"""Addresses of the pages of machines and readings."""

from django.urls import path

from inspections.pages import acting, machine, portfolio

urlpatterns = [
    path("portfolio", portfolio.Portfolio.as_view(), name="portfolio"),
    path("machines/<int:pk>", machine.MachinePage.as_view(), name="machine"),
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
