"""The one place for forms of pages: fields, errors, versions, sent once, kept."""

from fleet.platform.pages.forms.asking import AskOnce
from fleet.platform.pages.forms.fields import DayField, NumberField, QuantityField
from fleet.platform.pages.forms.form import PageForm
from fleet.platform.pages.forms.objects import ObjectField
from fleet.platform.pages.forms.page import FormPage
from fleet.platform.pages.forms.refusals import Refused
from fleet.platform.pages.forms.shown_once import ShownOnce

__all__ = [
    "AskOnce",
    "DayField",
    "FormPage",
    "NumberField",
    "ObjectField",
    "PageForm",
    "QuantityField",
    "Refused",
    "ShownOnce",
]
