"""Fault 46: two workers at the same report or mail; one file, one mail."""

import threading

import pytest
from django.db import connection

from fleet.models import Job
from fleet.platform.database import tenancy
from reports import delivery, publishing, tasks
from reports.models import Delivery, Report
from tests import factories
from tests.reports import orders

pytestmark = pytest.mark.django_db(transaction=True)

NOW = orders.NOW


@pytest.fixture
def north(settings, tmp_path):
    settings.MEDIA_ROOT = str(tmp_path)
    return factories.cast()


def confined(cast, work):
    with tenancy.acting_for(contractor_id=cast.contractor.pk) as scope:
        return work(scope)


def at_once(*works):
    """Run pieces of work in threads of their own, started together."""
    start, results = threading.Barrier(len(works)), []

    def run(work):
        start.wait(10)
        try:
            results.append(work())
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(work,)) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert len(results) == len(works)
    return results


def publish(cast, report):
    return lambda: confined(
        cast,
        lambda scope: publishing.publish(
            scope=scope, report_id=report.pk, issued_at=NOW
        ),
    )


def ask(cast, **order):
    return confined(cast, lambda scope: orders.asked(cast, **order))


def test_fault_46_two_workers_make_one_file(north, tmp_path):
    report = ask(north, recipients=("anna@mill.example",))

    outcomes = at_once(publish(north, report), publish(north, report))

    assert sorted(outcome is None for outcome in outcomes) == [False, True]
    assert len(list(tmp_path.rglob("*.pdf"))) == 1
    assert confined(north, lambda _: Delivery.objects.count()) == 1


def test_fault_46_two_workers_send_one_mail(north, mail):
    report = ask(north, recipients=("anna@mill.example",))
    publish(north, report)()
    [job_id] = Job.objects.filter(kind=delivery.DELIVER).values_list("pk", flat=True)
    Job.objects.update(due_at=NOW)

    at_once(*[lambda: tasks.deliver(job_id=job_id)] * 4)

    assert len(mail.taken) == 1
    states = confined(
        north, lambda _: list(Delivery.objects.values_list("state", flat=True))
    )
    assert states == ["SENT"]


def test_fault_46_of_two_requests_at_once_one_is_told_that_it_is_still_due(north):
    def one():
        try:
            return ask(north)
        except publishing.StillDue:
            return None

    made = at_once(one, one)

    assert sorted(report is None for report in made) == [False, True]
    assert confined(north, lambda _: Report.objects.count()) == 1


def test_fault_47_two_ticks_at_once_ask_for_one_report(north):
    from reports import plans
    from tests.reports.test_plans import DUE, plan

    confined(north, lambda _: plan(north).pk)

    at_once(*[lambda: plans.start_due(now=DUE)] * 3)

    assert confined(north, lambda _: Report.objects.count()) == 1
