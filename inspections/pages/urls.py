"""Addresses of the pages of machines and readings."""

from django.urls import path

from inspections.pages import (
    acting,
    budget,
    finding,
    machine,
    planning,
    portfolio,
    portfolio_file,
)

urlpatterns = [
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
