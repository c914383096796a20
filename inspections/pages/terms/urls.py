"""Addresses of the terms."""

from django.urls import path

from inspections.models import TermsSubject
from inspections.pages.terms import pages

urlpatterns = [
    path("terms", pages.TermsPage.as_view(), name="terms"),
    path(
        "terms/rates",
        pages.ChangeTerms.as_view(subject=TermsSubject.RATES),
        name="change-rates",
    ),
    path(
        "terms/lead-times",
        pages.ChangeTerms.as_view(subject=TermsSubject.LEAD_TIMES),
        name="change-lead-times",
    ),
    path(
        "terms/thresholds",
        pages.ChangeTerms.as_view(subject=TermsSubject.THRESHOLDS),
        name="change-thresholds",
    ),
    path(
        "terms/checks",
        pages.ChangeTerms.as_view(subject=TermsSubject.CHECKS),
        name="change-checks",
    ),
]
