"""The project's addresses, and two pages with forms that the tests fill in."""

from django import forms
from django.http import Http404
from django.urls import path

from fleet.models import Owner
from fleet.platform.pages.forms import FormPage, PageForm, QuantityField, Refused
from fleet.project import urls


class OwnerForm(PageForm):
    name = forms.CharField(label="Name", max_length=200)
    code = forms.CharField(label="Code", max_length=50)
    width = QuantityField(label="Width", quantity="length", least=1.0, required=False)
    word = forms.CharField(required=False, widget=forms.PasswordInput)


class NewOwner(FormPage):
    form_class = OwnerForm
    heading = "An owner"

    def do(self, form, row):
        fields = form.cleaned_data
        if fields["name"] == "nobody":
            raise Refused("Name somebody.", field="name")
        owner = Owner.objects.create(
            contractor_id=self.scope.contractor_id,
            name=fields["name"],
            code=fields["code"],
        )
        return f"/tried/{owner.pk}"


class ChangeOwner(FormPage):
    form_class = OwnerForm
    heading = "An owner"

    def row(self):
        found = Owner.objects.within(self.scope).filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def initial(self, row):
        return {"name": row.name, "code": row.code}

    def do(self, form, row):
        fields = form.changed_values()
        for name in ("name", "code"):
            setattr(row, name, fields.get(name, getattr(row, name)))
        row.version += 1
        row.save()
        return f"/tried/{row.pk}"


class GuardedOwner(NewOwner):
    confirms = True


urlpatterns = [
    *urls.urlpatterns,
    path("tried/new", NewOwner.as_view()),
    path("tried/guarded", GuardedOwner.as_view()),
    path("tried/<int:pk>", ChangeOwner.as_view()),
]
handler500 = urls.handler500
