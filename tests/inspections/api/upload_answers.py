"""What the tests of the upload door share."""

from inspections.models import Reading
from tests import callers, factories

GOOD = {"value": "11.8", "unit": "mm"}


def outcomes(answer):
    assert answer.status_code == 207, answer.content
    return [entry["outcome"] for entry in answer.json()["readings"]]


def only_problem(answer):
    [entry] = answer.json()["readings"]
    assert entry["outcome"] == "refused", entry
    return entry["problem"]


def refusal(north, **reading):
    """Send a bad reading between two good ones; the good ones must be stored."""
    body = factories.upload(GOOD, GOOD | reading, GOOD | {"rope": 2})

    answer = callers.upload(north, body)

    assert outcomes(answer) == ["stored", "refused", "stored"], answer.content
    callers.confine(north)
    assert {r.reference for r in Reading.objects.all()} == {"r-0", "r-2"}
    problem = answer.json()["readings"][1]["problem"]
    assert problem["detail"]
    return problem["pointer"].removeprefix("/visits/0/readings/1"), problem["code"]
