"""Whom to call: on every document, and beside everything that stops a machine."""

from django.utils.translation import gettext as _

from fleet.models import Owner
from fleet.platform.models import Contractor


def lines_of(party: Contractor | Owner) -> tuple[str, ...]:
    """Return the responsible person and the telephone, what of them is registered."""
    return tuple(filter(None, (party.responsible_person, party.telephone)))


def sentence(party: Contractor | Owner) -> str:
    """Return whom to call in one line; that nobody is registered, where so."""
    found = lines_of(party)
    if not found:
        return _("%(name)s (no person or telephone is registered)") % {
            "name": party.name
        }
    return _("%(name)s: %(call)s") % {"name": party.name, "call": ", ".join(found)}
