"""Real workers, killed with signal 9 in the middle: nothing lost, nothing doubled."""

import time

import pytest

from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import wait_until
from tests.reports import mail_server
from tests.reports.post_office import PostOffice

pytestmark = [pytest.mark.long, pytest.mark.processes]

PLANS = 10
SOME = 3
SWEEP_EVERY_S = 1.0


@pytest.fixture
def office():
    with mail_server.running() as mail, reachable_folder() as folder:
        made = PostOffice(folder=folder, mail=mail)
        try:
            made.install()
            made.fill(plans=PLANS)
            yield made
        finally:
            made.database.stop()
            made.broker.stop()


def sweep_until_done(office):
    def is_done():
        office.call("fleet.tasks.sweep")
        time.sleep(SWEEP_EVERY_S)
        return office.counts() == {"report PUBLISHED": PLANS, "mail SENT": PLANS}

    wait_until(is_done, within_s=90)


def test_fault_46_a_killed_worker_loses_no_report_and_sends_none_twice(office):
    with office.worker():
        office.call("reports.tasks.plan_tick")
        wait_until(lambda: len(office.mail.taken) >= SOME)
    killed_after = len(office.mail.taken)

    with office.workers(2):
        office.call("reports.tasks.plan_tick")
        sweep_until_done(office)

    assert SOME <= killed_after < PLANS
    times = office.mail.times_taken()
    addresses = [address for address, _ in times]
    assert sorted(addresses) == sorted(f"house-{n}@mill.example" for n in range(PLANS))
    # Only the mail whose answer was lost with the worker may have come twice, and
    # then it came under one Message-ID.
    assert sum(times.values()) - PLANS <= 1
    files = list((office.folder / "media").rglob("*.pdf"))
    assert len(files) == PLANS
    assert not list((office.folder / "media").rglob(".part-*"))
