"""What the tests of the register's API share."""

from tests import callers

OWNER = {"name": "Hill Trust", "code": "hill"}


def post(cast, path, body, **how):
    return callers.call(cast, "POST", f"/api/v1/{path}", body, **how)


def patch(cast, path, body, tag="*", **how):
    return callers.call(cast, "PATCH", f"/api/v1/{path}", body, If_Match=tag, **how)


def get(cast, path, **how):
    return callers.call(cast, "GET", f"/api/v1/{path}", **how)


def first(cast, model):
    callers.confine(cast)
    return model.objects.order_by("pk").first()


def new_sheave(machine):
    return {
        "machine": machine.pk,
        "fitted_on": "2019-01-01",
        "retired_on": "2020-01-15",
    }
