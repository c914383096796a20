"""On which phone a reading was typed."""

from collections.abc import Mapping, Sequence

from fleet.platform.access import tokens
from fleet.platform.database.tenancy import Scope
from fleet.platform.models import Token
from inspections.models import Reading


def phones_of(*, scope: Scope, readings: Sequence[Reading]) -> Mapping[int, str]:
    """Return what the phones are called on which readings were typed, by reading.

    Without those that were typed on none. The readings' uploads are loaded.
    """
    used = {each.pk: each.upload.token_id for each in readings if each.upload.token_id}
    keys = Token.objects.within(scope).filter(pk__in=set(used.values()))
    called = {key.pk: key.device for key in keys if tokens.is_of_phone(key)}
    return {pk: called[key] for pk, key in used.items() if key in called}
