"""Addresses of the register's pages; those of machines stand above."""

from django.urls import path

from fleet.register.pages import (
    acting,
    changes,
    contractor,
    exports,
    imports,
    keys,
    people,
    phones,
    places,
    retiring,
)

urlpatterns = [
    path("owners/new", places.OwnerPage.as_view(), name="new-owner"),
    path("owners/<int:pk>", places.OwnerPage.as_view(), name="owner"),
    path(
        "owners/<int:pk>/retire",
        retiring.RetireOwner.as_view(),
        name="retire-owner",
    ),
    path(
        "buildings/<int:pk>/retire",
        retiring.RetireBuilding.as_view(),
        name="retire-building",
    ),
    path("contractor", contractor.ContractorPage.as_view(), name="contractor-page"),
    path("people", people.People.as_view(), name="people"),
    path("people/invite", people.Invite.as_view(), name="invite"),
    path("people/<int:pk>", people.PersonPage.as_view(), name="person"),
    path("people/<int:pk>/let-go", acting.LetGo.as_view(), name="let-go"),
    path("people/<int:pk>/take-back", acting.TakeBack.as_view(), name="take-back"),
    path("people/<int:pk>/send-link", acting.SendLink.as_view(), name="send-link"),
    path(
        "people/<int:pk>/reset-factor",
        acting.ResetFactor.as_view(),
        name="reset-factor",
    ),
    path("people/<int:pk>/phone", phones.PairTheirs.as_view(), name="pair-phone"),
    path("phones", phones.Phones.as_view(), name="phones"),
    path("account/phone", phones.PairOwn.as_view(), name="pair-own-phone"),
    path("people/<int:pk>/key", keys.NewKey.as_view(), name="new-key"),
    path("keys/<int:pk>/replace", keys.ReplaceKey.as_view(), name="replace-key"),
    path("keys/<int:pk>/end", keys.EndKey.as_view(), name="end-key"),
    path("exports", exports.ExportsPage.as_view(), name="exports"),
    path("exports/new", exports.NewExport.as_view(), name="new-export"),
    path("exports/<int:pk>/file", exports.FetchExport.as_view(), name="fetch-export"),
    path(
        "exports/<int:pk>/remove",
        exports.RemoveExport.as_view(),
        name="remove-export",
    ),
    path("changes", changes.ChangesPage.as_view(), name="changes"),
    path("imports", imports.Imports.as_view(), name="imports"),
    path("imports/store", imports.StoreImport.as_view(), name="store-import"),
    path("imports/<int:pk>", imports.ImportPage.as_view(), name="import"),
]
