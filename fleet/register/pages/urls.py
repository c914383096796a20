"""Addresses of the register's pages; those of machines stand above."""

from django.urls import path

from fleet.register.pages import contractor, places

urlpatterns = [
    path("owners/new", places.OwnerPage.as_view(), name="new-owner"),
    path("owners/<int:pk>", places.OwnerPage.as_view(), name="owner"),
    path("contractor", contractor.ContractorPage.as_view(), name="contractor-page"),
]
