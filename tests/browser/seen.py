"""Every page in every state that is looked at: one line each."""

from collections.abc import Callable
from dataclasses import dataclass

from tests.browser.house import House

OFFICE, TECHNICIAN, OWNER, NOBODY = "OFFICE", "TECHNICIAN", "OWNER_READER", ""


@dataclass(frozen=True, slots=True)
class Seen:
    """A page as a role sees it, in the state that the address leads to."""

    name: str
    role: str
    path: str | Callable[[House], str]
    status: int = 200

    def address(self, house: House) -> str:
        """Return the path on the house's server."""
        return self.path if isinstance(self.path, str) else self.path(house)


PAGES = (
    # The frame: logging in, refusals, one's own account.
    Seen("log-in", NOBODY, "/log-in"),
    Seen("account", TECHNICIAN, "/account"),
    Seen("change-password", TECHNICIAN, "/account/password"),
    Seen("second-factor", TECHNICIAN, "/account/second-factor"),
    Seen("confirm", TECHNICIAN, "/confirm"),
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
    Seen("answer", OWNER, lambda h: f"/machines/{h.worn}/answer?work={h.proposed}"),
    Seen("works", OFFICE, "/works"),
    Seen("works-late", OFFICE, "/works?state=late"),
    Seen("join", OFFICE, "/works/join"),
    Seen("plan-work", OFFICE, lambda h: f"/machines/{h.worn}/plan"),
    Seen("stop", OFFICE, lambda h: f"/stops/{h.stop}"),
    Seen("accept-stop", TECHNICIAN, lambda h: f"/stops/{h.stop}/accept"),
    Seen("refute-stop", TECHNICIAN, lambda h: f"/stops/{h.stop}/refute"),
    Seen("stop-releases", OFFICE, "/stop-releases"),
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
    Seen("imports", OFFICE, "/imports"),
    Seen("terms", OFFICE, "/terms"),
    Seen("change-rates", OFFICE, "/terms/rates"),
    Seen("change-checks", OFFICE, "/terms/checks"),
    Seen("new-owner", OFFICE, "/owners/new"),
    Seen("new-building", OFFICE, "/buildings/new"),
    Seen("new-machine", OFFICE, "/machines/new"),
    Seen("set-up-sheave", OFFICE, lambda h: f"/machines/{h.worn}/set-up/sheave"),
    Seen("set-up-ropes", OFFICE, lambda h: f"/machines/{h.worn}/set-up/ropes"),
    Seen("set-up-wrap", OFFICE, lambda h: f"/machines/{h.worn}/set-up/wrap"),
    Seen("set-up-readings", OFFICE, lambda h: f"/machines/{h.worn}/set-up/readings"),
    # Reports.
    Seen("reports", OFFICE, "/reports"),
    Seen("report", OFFICE, lambda h: f"/reports/{h.draft}"),
    Seen("report-new", OFFICE, "/reports/new"),
    Seen("report-plan-new", OFFICE, "/reports/plans/new"),
    Seen("reports-owner", OWNER, "/reports"),
)
