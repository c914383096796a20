"""Every page in every state that is looked at: one line each."""

from collections.abc import Callable
from dataclasses import dataclass

from playwright.sync_api import Page

from tests.browser.house import House
from tests.browser.rows import COLLEAGUE, FAULTY, FILE
from tests.browser.waiting import follow

OFFICE, TECHNICIAN, OWNER, NOBODY = "OFFICE", "TECHNICIAN", "OWNER_READER", ""
_SEND = "main form:last-of-type button[type=submit] >> nth=0"


def send(page: Page) -> None:
    """Send the page's form as it stands, also what a browser itself would keep back."""
    page.locator(_SEND).evaluate("button => { button.form.noValidate = true; }")
    follow(page, _SEND)


def type_code(page: Page) -> None:
    """Type a code that no mail has."""
    page.fill("input[name=code]", "a code of nothing")
    send(page)


def choose(content: bytes) -> Callable[[Page], None]:
    """Choose a file and look at what it would do."""

    def done(page: Page) -> None:
        file = {"name": "lifts.csv", "mimeType": "text/csv", "buffer": content}
        page.select_option("select[name=name]", "machines")
        page.set_input_files("input[type=file]", files=[file])  # type: ignore[list-item]
        send(page)

    return done


def mistype(page: Page) -> None:
    """Show something that is neither the password nor a code."""
    page.fill("main input[required]", "0000")
    send(page)


def want_watched(page: Page) -> None:
    """Choose what cannot be chosen while a machine is out of service."""
    page.check("input[value=WATCH]")
    send(page)


def begin_codes(page: Page) -> None:
    """Ask for a secret for one-time codes."""
    follow(page, "form:has(input[value=begin]) button[type=submit]")


@dataclass(frozen=True, slots=True)
class Seen:
    """A page as a role sees it, in the state that the address or an act leads to.

    An act stores nothing that another page shows.
    """

    name: str
    role: str
    path: str | Callable[[House], str]
    status: int = 200
    act: Callable[[Page], None] | None = None

    def address(self, house: House) -> str:
        """Return the path on the house's server."""
        return self.path if isinstance(self.path, str) else self.path(house)


PAGES = (
    # The frame: logging in, refusals, one's own account.
    Seen("log-in", NOBODY, "/log-in"),
    Seen("account", TECHNICIAN, "/account"),
    Seen("change-password", TECHNICIAN, "/account/password"),
    Seen("second-factor", TECHNICIAN, "/account/second-factor"),
    Seen("open-sessions", TECHNICIAN, "/account/sessions"),
    Seen("confirm", TECHNICIAN, "/confirm"),
    Seen("log-in-refused", NOBODY, "/log-in", act=send),
    Seen("change-password-refused", TECHNICIAN, "/account/password", act=send),
    Seen("new-codes", TECHNICIAN, "/account/second-factor", act=begin_codes),
    Seen("show-factor", COLLEAGUE, "/second-factor"),
    Seen("show-factor-refused", COLLEAGUE, "/second-factor", 403, mistype),
    Seen("confirm-refused", TECHNICIAN, "/confirm", 403, mistype),
    Seen("report-link", NOBODY, "/report-links"),
    Seen("report-link-over", NOBODY, lambda h: h.link, 410),
    Seen("report-link-asked", NOBODY, lambda h: h.link, 200, send),
    Seen("report-link-unknown", NOBODY, "/report-links", 404, type_code),
    Seen("set-password-code", NOBODY, "/set-password"),
    Seen("link-used-up", NOBODY, "/set-password/none/none"),
    Seen("not-here", OFFICE, "/machines/999999999", 404),
    Seen("not-for-the-role", TECHNICIAN, "/today", 403),
    # Machines.
    Seen("today", OFFICE, "/today"),
    Seen("portfolio", OFFICE, "/portfolio"),
    Seen("portfolio-technician", TECHNICIAN, "/portfolio"),
    Seen("portfolio-owner", OWNER, "/portfolio"),
    Seen("portfolio-none", OFFICE, "/portfolio?text=nowhere"),
    Seen("portfolio-by-building", OFFICE, "/portfolio/by-building"),
    Seen("portfolio-by-owner", OWNER, "/portfolio/by-owner"),
    Seen("portfolio-by-part", OFFICE, "/portfolio/by-part"),
    Seen("calendar", OFFICE, "/calendar"),
    Seen("budget", OFFICE, "/budget"),
    Seen("estate", OWNER, "/estate"),
    Seen("estate-building", OWNER, lambda h: f"/estate/{h.building}"),
    Seen("estate-office", OFFICE, lambda h: f"/estate/{h.building}"),
    Seen("answer", OWNER, lambda h: f"/machines/{h.worn}/answer?work={h.proposed}"),
    Seen("works", OFFICE, "/works"),
    Seen("works-late", OFFICE, "/works?state=late"),
    Seen("join", OFFICE, "/works/join"),
    Seen("plan-work", OFFICE, lambda h: f"/machines/{h.worn}/plan"),
    Seen("enter-unplanned", OFFICE, lambda h: f"/machines/{h.worn}/unplanned"),
    Seen("stop", OFFICE, lambda h: f"/stops/{h.stop}"),
    Seen("accept-stop", TECHNICIAN, lambda h: f"/stops/{h.stop}/accept"),
    Seen("refute-stop", TECHNICIAN, lambda h: f"/stops/{h.stop}/refute"),
    Seen(
        "plan-work-refused",
        OFFICE,
        lambda h: f"/machines/{h.stopped}/plan",
        400,
        want_watched,
    ),
    Seen("work", OFFICE, lambda h: f"/works/{h.work}"),
    Seen("work-owner", OWNER, lambda h: f"/works/{h.work}"),
    Seen("change-work", OFFICE, lambda h: f"/works/{h.work}/change"),
    Seen("enter-spent", OFFICE, lambda h: f"/works/{h.done}/spent"),
    Seen("work-done", OFFICE, lambda h: f"/works/{h.done}"),
    Seen("report-done", TECHNICIAN, lambda h: f"/works/{h.cut}/done"),
    Seen("report-done-tensions", TECHNICIAN, lambda h: f"/works/{h.tensions}/done"),
    Seen("choose-work", TECHNICIAN, lambda h: f"/machines/{h.worn}/done"),
    Seen(
        "report-new-rim",
        OFFICE,
        lambda h: f"/machines/{h.worn}/done?kind=RIM_RENEWAL",
    ),
    Seen(
        "report-repair",
        TECHNICIAN,
        lambda h: f"/machines/{h.stopped}/done?kind=REPAIR",
    ),
    Seen("stop-released", TECHNICIAN, lambda h: f"/stops/{h.released}"),
    Seen(
        "refute-stop-refused",
        TECHNICIAN,
        lambda h: f"/stops/{h.stop}/refute",
        400,
        send,
    ),
    Seen("stop-releases", OFFICE, "/stop-releases"),
    Seen("stop-releases-refused", OFFICE, "/stop-releases", 400, send),
    Seen("stop-release", OFFICE, lambda h: f"/stop-releases/{h.bulk}"),
    Seen(
        "stop-release-refused", OFFICE, lambda h: f"/stop-releases/{h.bulk}", 400, send
    ),
    Seen("machine-worn", OFFICE, lambda h: f"/machines/{h.worn}"),
    Seen("machine-stopped", OFFICE, lambda h: f"/machines/{h.stopped}"),
    Seen("machine-owner", OWNER, lambda h: f"/machines/{h.worn}"),
    Seen("finding", OFFICE, lambda h: f"/findings/{h.finding}"),
    Seen("finding-owner", OWNER, lambda h: f"/findings/{h.finding}"),
    Seen("traction", TECHNICIAN, lambda h: f"/findings/{h.traction}"),
    Seen("reading", OFFICE, lambda h: f"/readings/{h.reading}"),
    Seen("reading-held", TECHNICIAN, lambda h: f"/readings/{h.held}"),
    Seen("readings-to-confirm", OFFICE, "/readings-to-confirm"),
    # Setting up.
    Seen("people", OFFICE, "/people"),
    Seen("invite", OFFICE, "/people/invite"),
    Seen("invite-refused", OFFICE, "/people/invite", 400, send),
    Seen("phones", OFFICE, "/phones"),
    Seen("phone-file", OFFICE, "/phones/file"),
    Seen("phone-file-refused", OFFICE, "/phones/file", 400, send),
    Seen("phone-file-told", OFFICE, lambda h: f"/phones/file/{h.upload}"),
    Seen("phone to pair", OFFICE, lambda h: f"/people/{h.colleague}/phone"),
    Seen("own phone to pair", TECHNICIAN, "/account/phone", act=send),
    Seen("person", OFFICE, lambda h: f"/people/{h.colleague}"),
    Seen("let-go", OFFICE, lambda h: f"/people/{h.colleague}/let-go"),
    Seen("take-back", OFFICE, lambda h: f"/people/{h.left}/take-back"),
    Seen("reset-factor", OFFICE, lambda h: f"/people/{h.colleague}/reset-factor"),
    Seen("send-link", OFFICE, lambda h: f"/people/{h.colleague}/send-link"),
    Seen("contractor", OFFICE, "/contractor"),
    Seen("imports", OFFICE, "/imports"),
    Seen("imports-refused", OFFICE, "/imports", 400, send),
    Seen("imports-looked-at", OFFICE, "/imports", 200, choose(FILE)),
    Seen("imports-faulty", OFFICE, "/imports", 200, choose(FAULTY)),
    Seen("import-waiting", OFFICE, lambda h: f"/imports/{h.waiting_file}"),
    Seen("import-looked-at", OFFICE, lambda h: f"/imports/{h.looked_at}"),
    Seen("import-faulty", OFFICE, lambda h: f"/imports/{h.faulty_file}"),
    Seen("service", OFFICE, "/service"),
    Seen("exports", OFFICE, "/exports"),
    Seen("exports-technician", TECHNICIAN, "/exports"),
    Seen("new-export", OWNER, "/exports/new"),
    Seen("remove-export", OFFICE, lambda h: f"/exports/{h.export}/remove"),
    Seen("changes", OFFICE, "/changes"),
    Seen("calendar-addresses", OFFICE, "/calendar/addresses"),
    Seen("new-calendar-address", OFFICE, "/calendar/addresses/new"),
    Seen("new-key", OFFICE, lambda h: f"/people/{h.colleague}/key"),
    Seen("new-key-refused", OFFICE, lambda h: f"/people/{h.colleague}/key", 400, send),
    Seen("replace-key", OFFICE, lambda h: f"/keys/{h.key}/replace"),
    Seen("retire-machine", OFFICE, lambda h: f"/machines/{h.stopped}/retire"),
    Seen("retire-owner", OFFICE, lambda h: f"/owners/{h.owner}/retire"),
    Seen("retire-building", OFFICE, lambda h: f"/buildings/{h.building}/retire"),
    Seen("pulley", OFFICE, lambda h: f"/pulleys/{h.pulley}"),
    Seen("visit", OFFICE, lambda h: f"/visits/{h.visit}"),
    Seen("visit-owner", OWNER, lambda h: f"/visits/{h.visit}"),
    Seen("add-photo", TECHNICIAN, lambda h: f"/visits/{h.visit}/photos"),
    Seen(
        "add-photo-refused",
        TECHNICIAN,
        lambda h: f"/visits/{h.visit}/photos",
        400,
        send,
    ),
    Seen("seen-running", TECHNICIAN, lambda h: f"/stops/{h.stop}/running"),
    Seen("refused-addresses", OFFICE, "/reports/addresses"),
    Seen("hand-overs", OFFICE, "/hand-overs"),
    Seen(
        "try-change",
        OFFICE,
        lambda h: f"/machines/{h.worn}/try?undercut_angle_deg=90&cut_depth_mm=2",
    ),
    Seen(
        "try-refused",
        OFFICE,
        lambda h: f"/machines/{h.worn}/try?undercut_angle_deg=130",
        422,
    ),
    Seen("keep-scenario", OFFICE, lambda h: f"/machines/{h.worn}/try/keep"),
    Seen("groove-window", OFFICE, lambda h: f"/machines/{h.worn}/window"),
    Seen("comparison", OFFICE, lambda h: f"/machines/{h.worn}/comparison"),
    Seen("scenario", OWNER, lambda h: f"/scenarios/{h.scenario}"),
    Seen("change-scenario", OFFICE, lambda h: f"/scenarios/{h.scenario}/change"),
    Seen("hand-over", OFFICE, lambda h: f"/machines/{h.worn}/hand-over"),
    Seen("hand-over-close", OFFICE, lambda h: f"/hand-overs/{h.hand_over}/close"),
    Seen("hand-over-back", OFFICE, lambda h: f"/hand-overs/{h.hand_over}/withdraw"),
    Seen("take-machine", OFFICE, "/hand-overs/take"),
    Seen("take-machine-refused", OFFICE, "/hand-overs/take", 400, send),
    Seen("mailed-links", OFFICE, "/reports/links"),
    Seen("terms", OFFICE, "/terms"),
    Seen("forecasts-held", OFFICE, "/forecasts"),
    Seen("gauges", OFFICE, "/gauges"),
    Seen("new-gauge", OFFICE, "/gauges/new"),
    Seen("gauge", OFFICE, lambda h: f"/gauges/{h.gauge}"),
    Seen("move-visit", OFFICE, lambda h: f"/visits/{h.visit}/move"),
    Seen("change-rates", OFFICE, "/terms/rates"),
    Seen("change-rates-refused", OFFICE, "/terms/rates", 400, send),
    Seen("change-lead-times", OFFICE, "/terms/lead-times"),
    Seen("change-thresholds", OFFICE, "/terms/thresholds"),
    Seen("change-checks", OFFICE, "/terms/checks"),
    Seen("new-owner", OFFICE, "/owners/new"),
    Seen("new-owner-refused", OFFICE, "/owners/new", 400, send),
    Seen("owner", OFFICE, lambda h: f"/owners/{h.owner}"),
    Seen("building", OFFICE, lambda h: f"/buildings/{h.building}"),
    Seen("new-building", OFFICE, "/buildings/new"),
    Seen("new-machine", OFFICE, "/machines/new"),
    Seen("new-machine-refused", OFFICE, "/machines/new", 400, send),
    Seen("set-up-plate", OFFICE, lambda h: f"/machines/{h.worn}/set-up/plate"),
    Seen("set-up-loads", OFFICE, lambda h: f"/machines/{h.worn}/set-up/loads"),
    Seen("set-up-limits", OFFICE, lambda h: f"/machines/{h.worn}/set-up/limits"),
    Seen("set-up-sheave", OFFICE, lambda h: f"/machines/{h.worn}/set-up/sheave"),
    Seen("set-up-ropes", OFFICE, lambda h: f"/machines/{h.worn}/set-up/ropes"),
    Seen("set-up-wrap", OFFICE, lambda h: f"/machines/{h.worn}/set-up/wrap"),
    Seen("set-up-readings", OFFICE, lambda h: f"/machines/{h.worn}/set-up/readings"),
    # Reports.
    Seen("reports", OFFICE, "/reports"),
    Seen("report", OFFICE, lambda h: f"/reports/{h.draft}"),
    Seen("report-overtaken", OFFICE, lambda h: f"/reports/{h.overtaken}"),
    Seen("report-sent", OFFICE, lambda h: f"/reports/{h.sent}"),
    Seen("report-sent-owner", OWNER, lambda h: f"/reports/{h.sent}"),
    Seen("send-report", OFFICE, lambda h: f"/reports/{h.sent}/send"),
    Seen("send-report-refused", OFFICE, lambda h: f"/reports/{h.sent}/send", 400, send),
    Seen("report-new", OFFICE, "/reports/new"),
    Seen("report-new-refused", OFFICE, "/reports/new", 400, send),
    Seen("report-plan-new", OFFICE, "/reports/plans/new"),
    Seen("report-plan", OFFICE, lambda h: f"/reports/plans/{h.plan}"),
    Seen("reports-owner", OWNER, "/reports"),
)
