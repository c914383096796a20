"""Nobody finds out by filter, search or order what their role does not see."""

import pytest

from fleet.platform.visibility.tables import Visibility
from tests.access import doors

# A day that is shown besides, or one of no day: how lists are in order for everybody.
IN_ORDER_FOR_ALL = {"rank_on"}


def asked_for(view):
    filters = getattr(view, "filterset_class", None)
    names = {
        *(getattr(view, "filterset_fields", None) or {}),
        *(filters.base_filters if filters else {}),
        *getattr(view, "ordering_fields", ()),
        *getattr(view, "search_fields", ()),
    }
    return {name.partition("__")[0] for name in names}


def views():
    for view in doors.classes():
        model = getattr(getattr(view, "queryset", None), "model", None)
        rule = getattr(model, "visibility", None)
        if isinstance(rule, Visibility):
            yield view, rule


VIEWS = sorted(views(), key=lambda each: each[0].__name__)


@pytest.mark.parametrize(
    ("view", "rule"), VIEWS, ids=[view.__name__ for view, _ in VIEWS]
)
def test_no_list_is_asked_by_a_field_that_some_do_not_see(view, rule):
    kept_back = {*rule.only, *rule.reduced} - IN_ORDER_FOR_ALL

    assert asked_for(view) & kept_back == set()
