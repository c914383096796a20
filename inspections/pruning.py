"""What may be forgotten of uploads: the answer, never the readings."""

from datetime import datetime

from django.db.models import Q

from fleet.models import Contractor
from fleet.platform.database import tenancy
from inspections.models import Upload


def answers(*, before: datetime) -> int:
    """Forget answers and keys of uploads from before a time; return how many.

    An upload that is sent again even later stores nothing twice: each reading is
    told by its own reference.
    """
    forgotten = 0
    for contractor_id in Contractor.objects.order_by("pk").values_list("pk", flat=True):
        with tenancy.acting_for(contractor_id=contractor_id) as scope:
            forgotten += (
                Upload.objects.within(scope)
                .filter(Q(answer__isnull=False) | Q(key__isnull=False))
                .filter(received_at__lt=before)
                .update(answer=None, key=None)
            )
    return forgotten
