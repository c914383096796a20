"""Whole days in a real browser: the office's, an owner's, a stop's, a report's."""

from contextlib import contextmanager
from datetime import timedelta
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone
from playwright.sync_api import expect

from fleet.models import Machine, Membership, SecondFactor
from inspections.models import (
    Assessment,
    Finding,
    OwnerAnswer,
    PlannedWork,
    Stop,
)
from reports import plans, publishing
from reports.models import Delivery, Report, ReportPlan
from tests import callers
from tests.browser import house as houses
from tests.browser import looking
from tests.browser.rows import COLLEAGUE
from tests.browser.seen import OFFICE, OWNER, TECHNICIAN
from tests.browser.waiting import follow
from tests.reports import orders

SAVE = "main form button[type=submit]"


@contextmanager
def rows(house):
    """Look at the house's rows, or change them as a worker would."""
    with transaction.atomic():
        callers.confine(house.cast)
        yield


def send(page, /, **typed):
    """Fill in the page's form and send it; what is refused is shown."""
    for name, value in typed.items():
        field = page.locator(f"main [name={name}]").first
        if field.evaluate("e => e.tagName") == "SELECT":
            field.select_option(value)
        elif field.get_attribute("type") == "radio":
            page.check(f"main [name={name}][value={value}]")
        else:
            field.fill(value)
    follow(page, f"{SAVE} >> nth=0")
    faults = page.locator("#faults")
    assert faults.count() == 0, faults.inner_text()


def test_the_offices_day_from_today_to_an_ordered_work_with_scripts_off(browser, house):
    with browser.open(OFFICE, "/today", scripts=False) as tab:
        page = tab.page
        assert "OUT OF SERVICE QC-1" in page.inner_text("main")

        # From the portfolio to why the worn machine asks for work.
        follow(page, "nav >> text=Portfolio")
        page.fill("input[name=text]", "MH-")
        follow(page, "form.filter button")
        follow(page, "table.lines tbody a")
        assert page.locator("h2#options").count() == 1

        # What is proposed becomes planned work, is ordered, and stands in the calendar.
        follow(page, "nav >> text='Work'")
        follow(page, "text=Plan for MH-1")
        day = timezone.localdate() + timedelta(days=10)
        send(page, due_before_on=day.isoformat(), note="with the <b>night</b> crew")
        assert "with the <b>night</b> crew" in page.inner_text("main")
        follow(page, "text=Order, move or drop it")
        send(page, state="ORDERED")
        assert "ordered" in page.inner_text("dl.facts")
        follow(page, "nav >> text=Calendar")
        assert "MH-1" in page.inner_text("main")
        follow(page, "nav >> text=Budget")
        assert "Budget" in page.inner_text("h1")

        # Somebody new is invited, and the key of a lost phone is ended.
        follow(page, "nav >> text='People and phones'")
        ends = page.locator("main button:text-is('End')")
        before = ends.count()
        assert before > 0
        follow(page, f"main button:text-is('End') >> nth={before - 1}")
        expect(page.locator(".messages")).to_be_visible()
        expect(ends).to_have_count(before - 1)
        assert tab.complaints == []

    with rows(house):
        work = PlannedWork.objects.get(machine=house.worn, note__contains="night")
        assert work.state == "ORDERED"


def test_an_owners_quarter_on_a_phone_in_german_is_seen_by_the_office(browser, house):
    how = {"width": looking.PHONE, "language": "de"}
    with browser.open(OWNER, "/estate", **how) as tab:
        page = tab.page
        follow(page, f"main a[href='/estate/{house.building}']")
        assert "Mill House" in page.inner_text("h1")
        follow(page, "main a[href*='/answer?work=']")
        assert tab.too_wide() == []
        send(page, answer="AGREE", words="nach dem Sommerfest")
        assert "nach dem Sommerfest" in page.inner_text("main")
        assert tab.violations() == []
        follow(page, f"main a[href='/machines/{house.worn}']")
        assert "MH-1" in page.inner_text("h1")
        page.click("nav button")
        follow(page, "nav a[href='/reports']")
        follow(page, f"main a[href='/reports/{house.sent}']")
        file = page.get_attribute("main a[href$='/file']", "href")
        assert page.request.get(f"{house.address}{file}").body()[:4] == b"%PDF"
        assert page.locator("main form").count() == 0

    with browser.open(OFFICE, "/today") as tab:
        assert "nach dem Sommerfest" in tab.page.inner_text("main")
        follow(tab.page, "text=I have seen the answer for MH-1")
        assert tab.page.url == f"{house.address}/today"
        assert "nach dem Sommerfest" not in tab.page.inner_text("main")

    with rows(house):
        [answer] = OwnerAnswer.objects.filter(machine=house.worn)
        assert (answer.answer, answer.seen_at is not None) == ("AGREE", True)


def test_a_machine_comes_from_nothing_to_its_first_assessment_on_a_phone(
    browser, house
):
    with browser.open(OFFICE, "/owners/new", width=looking.PHONE) as tab:
        page = tab.page
        send(page, name="Weir & Söhne", code="weir")
        send(page, name="Weir House", code="weir-house", criteria_set="EN_81_20")
        send(
            page,
            code="WH-1",
            name="Weir House, lift",
            drive_kind="GEARED",
            rated_load_kg_0="630",
            rated_speed_m_s_0="1,0",
            installed_on="2020-01-15",
        )
        send(
            page,
            form="UNDERCUT",
            grooves_count="4",
            pitch_diameter_new_mm_0="23 5/8",
            pitch_diameter_new_mm_1="in",
            undercut_angle_deg="95",
            groove_angle_deg="0",
        )
        send(page, nominal_diameter_mm_0="12")
        assert "checks are made" in page.inner_text("main")
        send(page, car_mass_kg_0="800", balance_ratio="0,5", travel_m_0="18")
        send(page, wrap_angle_deg="170")
        assert tab.too_wide() == []
        first = page.locator("main input[name*=rope_diameter_1][name$='_0']").first
        send(page, **{first.get_attribute("name"): "11,9", "r_slip_seen": "no"})

        assert page.inner_text("h1").startswith("WH-1")
        assert "judged on" in page.inner_text("main")
        assert "2 readings are stored." in page.inner_text("main")
        assert tab.violations() == []

    with rows(house):
        machine = Machine.objects.get(code="WH-1")
        assert Assessment.objects.filter(machine=machine).exists()


def test_a_stop_ends_by_a_repair_that_another_accepts(browser, house):
    mark_competent(house, OFFICE)
    # The page asks by the clock of the building.
    with rows(house):
        zone = Machine.objects.get(pk=house.stopped).building.time_zone
    now = timezone.localtime(timezone=ZoneInfo(zone))
    repaired = f"/machines/{house.stopped}/done?kind=REPAIR"
    with browser.open(TECHNICIAN, repaired) as tab:
        send(
            tab.page,
            done_on=now.date().isoformat(),
            read_at=f"{now:%H:%M}",
            done_by="crew 4",
            left_check_0_crack="pass",
        )
        assert "1 reading is stored." in tab.page.inner_text(".messages")
        # Nothing is released by that: it stays out of service until it is accepted.
        assert "OUT OF SERVICE" in tab.page.inner_text("main")
    judge(house)

    with browser.open(OFFICE, f"/stops/{house.stop}") as tab:
        follow(tab.page, "text=Accept the work that answers it")
        send(tab.page, why="looked at with dye, no crack")
        assert "looked at with dye" in tab.page.inner_text("main")
        assert "no release by an authority" in tab.page.inner_text("main")
        assert tab.violations() == []
        tab.page.goto(f"{house.address}/machines/{house.stopped}")
        assert "OUT OF SERVICE" not in tab.page.inner_text("main")
        assert "Stop ended" in tab.page.inner_text("main")

    with rows(house):
        stop = Stop.objects.get(pk=house.stop)
        assert (stop.release, stop.release_work.kind) == ("WORK", "REPAIR")


def test_stops_are_refuted_by_one_and_ended_together_by_two(browser, house):
    mark_competent(house, OFFICE)
    SecondFactor.objects.filter(person__email="lena@lifts.example").delete()
    refuted, wrong = worked_out(house)
    with browser.open(OFFICE, f"/stops/{refuted}/refute") as tab:
        send(tab.page, why="the reading was of another machine")
        assert "the reading was of another machine" in tab.page.inner_text("main")
        tab.page.goto(f"{house.address}/stop-releases")
        send(tab.page, withdrawn="0", why="a table counted a window twice")
        assert "not yet" in tab.page.inner_text("main")
        tab.page.check("main [name=sure]")
        follow(tab.page, SAVE)
        # Whoever proposed it does not confirm it.
        assert "does not confirm" in tab.page.inner_text("#faults")
        proposal = tab.page.url

    with browser.open(COLLEAGUE, proposal.removeprefix(house.address)) as tab:
        tab.page.check("main [name=sure]")
        follow(tab.page, SAVE)
        assert "Lena Brandt" in tab.page.inner_text("dl.facts:has-text('Proposed')")
        assert tab.violations() == []

    with rows(house):
        ends = Stop.objects.filter(pk__in=[refuted, wrong]).order_by("pk")
        assert [stop.release for stop in ends] == ["REFUTED", "BULK"]


def test_a_report_comes_by_plan_is_read_released_and_sent_and_one_is_withdrawn(
    browser, house
):
    with browser.open(OFFICE, "/reports/plans/new") as tab:
        page = tab.page
        page.select_option("main [name=building]", label="Quay Court (Quay Homes)")
        page.check("main [name=needs_release]")
        send(page, day_of_month="1", recipients="anna@quay.example")
        assert "Quay Court" in page.inner_text("#plans ~ ul")
        made = come(house)
        page.goto(f"{house.address}/reports/{made}")
        assert "waiting for release" in page.inner_text("dl.facts")
        draft = page.get_attribute("main a[href$='/file']", "href")
        assert page.request.get(f"{house.address}{draft}").body()[:4] == b"%PDF"
        follow(page, "button:has-text('Release')")
        expect(page.locator(".messages")).to_be_visible()
        with rows(house):
            orders.run_jobs(house.cast, kind=publishing.PUBLISH)
        page.reload()
        assert "Ada Kowalska" in page.inner_text("dl.facts")
        assert "anna@quay.example" in page.inner_text("main")
        follow(page, "text=Send it to somebody")
        send(page, recipients="bert@quay.example\nanna@quay.example")
        assert "bert@quay.example" in page.inner_text("main")

        page.goto(f"{house.address}/reports/{house.draft}")
        follow(page, "button:has-text('Withdraw')")
        expect(page.locator(".messages")).to_be_visible()
        assert "withdrawn by Ada Kowalska" in page.inner_text("dl.facts")
        assert tab.violations() == []

    with rows(house):
        sent = Delivery.objects.filter(report=made).values_list("address", flat=True)
        assert sorted(sent) == ["anna@quay.example", "bert@quay.example"]
        assert not Delivery.objects.filter(report=house.draft).exists()


def mark_competent(house, role):
    with rows(house):
        Membership.objects.filter(pk=house.cast.memberships[role].pk).update(
            qualification="rope inspection",
            competent_until=timezone.localdate() + timedelta(days=400),
        )


def judge(house):
    """Judge the machines anew, as a worker would after an upload."""
    with rows(house):
        houses.judge(house.cast)


def worked_out(house):
    """Return two stops that were worked out by rules which are withdrawn."""
    found = []
    with rows(house):
        findings = Finding.objects.filter(machine=house.worn, current=True)
        beyond = findings.exclude(grade="IN_ORDER").values_list("topic", flat=True)
        within = findings.exclude(topic__in=beyond).first()
        for rope in within.machine.rope_sets.get().ropes.all()[:2]:
            stop = Stop.objects.create(
                contractor=house.cast.contractor,
                machine=within.machine,
                cause="ROPE_DIAMETER",
                place_kind="ROPE",
                rope=rope,
                place_key=f"rope:{rope.pk}",
                basis="WORKED_OUT",
                since=timezone.now() - timedelta(days=1),
                finding=within,
                kernel_version="0",
            )
            found.append(stop.pk)
    return found


def come(house):
    """Let the plan's day come, and its report be made; return which it is."""
    now = timezone.now()
    with rows(house):
        plan = ReportPlan.objects.get(building__code="quay-court")
        ReportPlan.objects.filter(pk=plan.pk).update(
            next_due_at=now - timedelta(minutes=1)
        )
        plans.start(scope=house.cast.scope(), plan_id=plan.pk, now=now)
        orders.run_jobs(house.cast, kind=publishing.PUBLISH)
        return Report.objects.get(plan=plan).pk
