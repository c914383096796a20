"""The matrix: for each door, what each role gets there. Written by hand.

What the code says of itself stands in `fleet/platform/visibility`; this is said anew,
so that a change there has to be made here too. `test_matrix.py` tries each line.
"""

from dataclasses import dataclass, replace
from typing import Any

from fleet.models import (
    Building,
    Change,
    ExportFile,
    Groove,
    ImportFile,
    Job,
    Machine,
    Membership,
    Owner,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Token,
    Work,
)
from inspections.models import (
    Assessment,
    BulkRelease,
    CalendarFeed,
    DueWork,
    Finding,
    Forecast,
    ForecastRun,
    ForecastScore,
    Gauge,
    HandOver,
    OwnerAnswer,
    PlannedWork,
    Reading,
    Scenario,
    Stop,
    Upload,
    UrgentMail,
    Visit,
    VisitPhoto,
)
from reports.models import Delivery, RefusedAddress, Report, ReportPlan
from tests.access.doors import ANY

# What a cell may say.
ALL = "all"  # every row of the contractor
OWN = "own buildings"  # the rows of the reader's building owner
SELF = "own entry"  # the rows of the person
ISSUED = "issued"  # reports that went out, never a draft
NONE = "nothing"  # the door opens, and no row is behind it
YES = "yes"
NO = "no"
SECRET = "with the secret"  # the address or key is itself the permission


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """What each role gets, and the row that the address names or the list shows.

    `phone` is a paired phone, which is known by its cookie; `keeper` is the server's
    administrator, a superuser without a contractor; `anyone` is someone nobody knows.
    `body` is one that is sound enough to come to the row.
    """

    office: str
    technician: str
    reader: str
    keeper: str = NO
    anyone: str = NO
    model: type[Any] | None = None
    phone: str = NO  # by a paired phone's cookie
    not_by_key: frozenset[str] = frozenset()  # roles to whom a session alone opens it
    personal: bool = False  # about the person alone, whomever they work for
    body: Any = None
    content_type: str = "application/json"

    def cell(self, role: str) -> str:
        return {
            "OFFICE": self.office,
            "TECHNICIAN": self.technician,
            "OWNER_READER": self.reader,
        }[role]


EVERYONES = Door(office=ALL, technician=ALL, reader=OWN)
STAFFS = Door(office=ALL, technician=ALL, reader=NONE)
OFFICES = Door(office=ALL, technician=NO, reader=NO)
ISSUED_ONES = Door(office=ALL, technician=ISSUED, reader=ISSUED)
THEIR_OWN = Door(office=ALL, technician=SELF, reader=SELF)
STAFF_ACTS = Door(office=ALL, technician=ALL, reader=NO)
MEMBERS = Door(office=YES, technician=YES, reader=YES)
STAFF = Door(office=YES, technician=YES, reader=NO)
OWNERS = Door(
    office=NO,
    technician=NO,
    reader=YES,
    # A reader's key only reads.
    not_by_key=frozenset({"OWNER_READER"}),
)
OFFICE = Door(office=YES, technician=NO, reader=NO)
OPEN = Door(office=YES, technician=YES, reader=YES, keeper=YES, anyone=YES, phone=YES)
BY_SECRET = Door(
    office=SECRET, technician=SECRET, reader=SECRET, keeper=SECRET, anyone=SECRET
)
PERSONS = Door(office=YES, technician=YES, reader=YES, keeper=YES, personal=True)
OTHERS = frozenset({"TECHNICIAN", "OWNER_READER"})
# Nobody gets anything there: refused, or there is nothing.
NOBODYS = Door(office=NO, technician=NO, reader=NO)
KEEPERS = Door(office=NO, technician=NO, reader=NO, keeper=YES)

OWNERS_MATTERS = Door(office=NO, technician=NO, reader=OWN)

API = "api/v1/"
Matrix = dict[tuple[str, str], Door]


def of(model: type[Any], door: Door, **more: Any) -> Door:
    return replace(door, model=model, **more)


def _lists() -> Matrix:
    """A list and each of its rows; the office makes and changes some of them."""
    found: Matrix = {}
    for name, model, shown, made, changed in (
        ("owners", Owner, EVERYONES, True, True),
        ("buildings", Building, EVERYONES, True, True),
        ("machines", Machine, EVERYONES, True, True),
        ("pulleys", Pulley, EVERYONES, True, True),
        ("sheaves", Sheave, EVERYONES, True, True),
        ("sheave-geometries", SheaveGeometry, EVERYONES, True, True),
        ("grooves", Groove, EVERYONES, True, True),
        ("rope-sets", RopeSet, EVERYONES, True, True),
        ("ropes", Rope, EVERYONES, True, True),
        ("rope-seats", RopeInGroove, EVERYONES, True, True),
        ("works", Work, EVERYONES, False, False),
        ("visits", Visit, EVERYONES, False, False),
        ("readings", Reading, EVERYONES, False, False),
        ("photos", VisitPhoto, EVERYONES, False, False),
        ("hand-overs", HandOver, OFFICES, False, False),
        ("assessments", Assessment, EVERYONES, False, False),
        ("findings", Finding, EVERYONES, False, False),
        ("forecasts", Forecast, EVERYONES, False, False),
        ("stops", Stop, EVERYONES, False, False),
        ("planned-works", PlannedWork, EVERYONES, True, True),
        ("owner-answers", OwnerAnswer, EVERYONES, False, False),
        ("scenarios", Scenario, EVERYONES, False, True),
        ("gauges", Gauge, STAFFS, True, True),
        ("urgent-mails", UrgentMail, STAFFS, False, False),
        ("forecast-runs", ForecastRun, STAFFS, False, False),
        ("forecast-scores", ForecastScore, STAFFS, False, False),
        ("report-plans", ReportPlan, STAFFS, True, True),
        ("deliveries", Delivery, STAFFS, False, False),
        ("refused-addresses", RefusedAddress, STAFFS, False, False),
        ("reports", Report, ISSUED_ONES, True, False),
        ("people", Membership, THEIR_OWN, True, True),
        ("tokens", Token, THEIR_OWN, False, False),
        ("exports", ExportFile, THEIR_OWN, False, False),
        ("imports", ImportFile, OFFICES, False, False),
        ("calendar-feeds", CalendarFeed, OFFICES, True, False),
        ("stop-releases", BulkRelease, OFFICES, True, False),
        ("audit", Change, OFFICES, False, False),
    ):
        found["GET", f"{API}{name}"] = of(model, shown)
        found["GET", f"{API}{name}/<pk>"] = of(model, shown)
        if made:
            found["POST", f"{API}{name}"] = OFFICE
        if changed:
            found["PATCH", f"{API}{name}/<pk>"] = of(model, OFFICES)
    return found


def _acts() -> Matrix:
    """What is done to one row."""
    word = {"words": "seen"}
    return {
        ("POST", f"{API}people/<pk>/deactivate"): of(Membership, OFFICES),
        ("POST", f"{API}people/<pk>/reactivate"): of(Membership, OFFICES),
        ("POST", f"{API}people/<pk>/send-link"): of(Membership, OFFICES),
        # Whoever holds a key may not be the person: it takes nobody's factor away.
        ("POST", f"{API}people/<pk>/reset-second-factor"): of(
            Membership, OFFICES, not_by_key=frozenset({"OFFICE"})
        ),
        ("GET", f"{API}people/second-factors"): of(Membership, THEIR_OWN),
        ("POST", f"{API}tokens"): replace(MEMBERS, not_by_key=OTHERS),
        ("POST", f"{API}tokens/<pk>/rotate"): of(Token, THEIR_OWN),
        ("POST", f"{API}tokens/<pk>/revoke"): of(Token, THEIR_OWN),
        ("POST", f"{API}exports"): MEMBERS,
        ("POST", f"{API}exports/<pk>/remove"): of(ExportFile, THEIR_OWN),
        ("POST", f"{API}calendar-feeds/<pk>/revoke"): of(CalendarFeed, OFFICES),
        ("POST", f"{API}owner-answers"): OWNERS,
        ("POST", f"{API}owner-answers/<pk>/see"): of(OwnerAnswer, OFFICES),
        ("POST", f"{API}stop-releases/<pk>/confirm"): of(BulkRelease, OFFICES),
        ("POST", f"{API}deliveries/<pk>/end-link"): of(Delivery, OFFICES),
        ("POST", f"{API}refused-addresses/<pk>/clear"): of(RefusedAddress, OFFICES),
        ("POST", f"{API}reports/<pk>/release"): of(Report, OFFICES),
        ("POST", f"{API}reports/<pk>/withdraw"): of(
            Report, OFFICES, body={"why": "mistyped"}
        ),
        ("POST", f"{API}reports/<pk>/send"): of(
            Report, OFFICES, body={"recipients": ["a@mill.example"]}
        ),
        # Who is competent is a matter of the person, not of the door.
        ("POST", f"{API}stops/<pk>/accept"): of(
            Stop, STAFF_ACTS, body={"work": 1, "why": "read again"}
        ),
        ("POST", f"{API}stops/<pk>/refute"): of(
            Stop, STAFF_ACTS, body={"why": "never true"}
        ),
        ("POST", f"{API}stops/<pk>/acknowledge"): of(Stop, STAFF_ACTS, body=word),
        ("POST", f"{API}stops/<pk>/seen-running"): of(Stop, STAFF_ACTS, body=word),
        ("POST", f"{API}readings/<pk>/review"): of(
            Reading, STAFF_ACTS, body={"accepted": False, "why": "slipped"}
        ),
        ("POST", f"{API}visits/<pk>/move"): of(
            Visit,
            STAFF_ACTS,
            phone=YES,
            body={"machine": 1, "why": "neighbour"},
        ),
        ("POST", f"{API}machines/<pk>/hand-over"): of(
            Machine,
            OFFICES,
            body={
                "house": "South",
                "word_by": "the owner",
                "word_on": "2026-05-01",
                "words": "by letter",
            },
        ),
        ("POST", f"{API}machines/<pk>/scenarios"): of(
            Machine, OFFICES, body={"changes": {"car_mass_kg": 900.0}}
        ),
        ("POST", f"{API}machines/<pk>/groove-window"): of(Machine, OFFICES, body={}),
        ("POST", f"{API}scenarios/<pk>/work-out"): of(Scenario, OFFICES),
        ("POST", f"{API}planned-works/<pk>/spent"): of(PlannedWork, OFFICES),
        ("POST", f"{API}works/<pk>/unplanned"): of(
            Work, OFFICES, body={"kind": "RE_ROPE"}
        ),
        ("POST", f"{API}hand-overs/<pk>/close"): of(
            HandOver, OFFICES, body={"receipt": "R-1"}
        ),
        ("POST", f"{API}hand-overs/<pk>/withdraw"): of(HandOver, OFFICES),
        ("POST", f"{API}visits/<pk>/photos"): of(
            Visit,
            STAFF_ACTS,
            phone=YES,
            body=b"\x89PNG\r\n\x1a\n",
            content_type="image/png",
        ),
        ("POST", f"{API}machines/<pk>/works"): of(
            Machine,
            STAFF_ACTS,
            phone=YES,
            body={"kind": "LUBRICATION", "done_on": "2026-05-01", "done_by": "crew 4"},
        ),
    }


def _factors() -> Matrix:
    """The caller's own second factors, which no key looks after."""
    door = replace(PERSONS, not_by_key=OTHERS | {"OFFICE"})
    at = f"{API}second-factor"
    posted = (
        *("/challenge", "/codes", "/codes/<pk>/confirm", "/passkey-options"),
        *("/passkeys", "/recovery-codes", "/verify", "/<pk>/remove"),
    )
    return {
        ("GET", at): door,
        ("POST", f"{API}confirm-password"): door,
        **{("POST", f"{at}{rest}"): door for rest in posted},
    }


def _answers() -> Matrix:
    """Answers that are worked out, and files."""
    of_machine = of(Machine, EVERYONES)
    found: Matrix = {
        ("GET", f"{API}machines/<pk>/{name}"): of_machine
        for name in ("condition", "forecast", "options", "page", "worklist")
    }
    found |= {
        ("GET", f"{API}{name}{part}"): OFFICE
        for name in ("rates", "lead-times", "thresholds", "checks")
        for part in ("", "/history")
    }
    found |= {
        ("PATCH", f"{API}{name}"): OFFICE
        for name in ("rates", "lead-times", "thresholds", "checks")
    }
    return found | {
        ("GET", f"{API}machines/<pk>/comparison"): of(Machine, OFFICES),
        ("GET", f"{API}machines/<pk>/regroove-order"): of(Machine, STAFF_ACTS),
        ("GET", f"{API}forecasts/<pk>/curve"): of(Forecast, EVERYONES),
        ("GET", f"{API}photos/<pk>/file"): of(VisitPhoto, EVERYONES),
        ("GET", f"{API}hand-overs/<pk>/file"): of(HandOver, OFFICES),
        ("GET", f"{API}exports/<pk>/file"): of(ExportFile, THEIR_OWN),
        ("GET", f"{API}reports/<pk>/file"): of(Report, ISSUED_ONES),
        ("GET", f"{API}reports/<pk>/figures"): of(Report, ISSUED_ONES),
        ("GET", f"{API}reports/<pk>/figures/<key>"): of(Report, ISSUED_ONES),
        ("GET", f"{API}jobs/<pk>"): of(Job, STAFFS),
        ("GET", f"{API}first-limits"): of(Forecast, EVERYONES),
        ("GET", f"{API}due-works"): of(DueWork, EVERYONES),
        ("GET", f"{API}due-works/by-building"): MEMBERS,
        ("GET", f"{API}due-works/by-part"): MEMBERS,
        ("GET", f"{API}due-works/csv"): MEMBERS,
        ("GET", f"{API}readings-to-confirm"): MEMBERS,
        ("GET", f"{API}budget"): OFFICE,
        ("GET", f"{API}rates/suggested"): OFFICE,
        ("GET", f"{API}contractor"): OFFICE,
        ("PATCH", f"{API}contractor"): OFFICE,
        ("GET", f"{API}me"): MEMBERS,
        ("GET", f"{API}schema"): OPEN,
        ("GET", f"{API}cautions"): OPEN,
        ("GET", f"{API}calendars/<str:address>.ics"): BY_SECRET,
        ("GET", f"{API}report-links/<str:signed>"): BY_SECRET,
        ("POST", f"{API}report-links"): replace(BY_SECRET, body={"code": "x"}),
        ("POST", f"{API}uploads"): replace(STAFF, phone=YES),
        ("GET", f"{API}field/machines"): replace(NOBODYS, phone=YES),
        ("POST", f"{API}field/contact"): replace(
            NOBODYS, phone=YES, body={"app": "1", "unsent": 0}
        ),
        ("POST", f"{API}field/packs"): replace(
            NOBODYS, phone=YES, body={"machines": [1]}
        ),
        ("POST", f"{API}field/pairing"): replace(
            BY_SECRET, body={"code": "AAAA-AAAA", "device": "a phone"}
        ),
        ("POST", f"{API}hand-overs/take"): OFFICE,
    }


REGISTER_FILES = (
    "owners",
    "buildings",
    "machines",
    "pulleys",
    "sheaves",
    "sheave-geometries",
    "grooves",
    "rope-sets",
    "ropes",
    "works",
)
EVERYONES_TABLES = (
    *REGISTER_FILES,
    *("gauges", "readings", "visits", "photos", "urgent-mails", "stops"),
    *("assessments", "findings", "forecasts", "forecast-runs", "forecast-scores"),
    *("owner-answers", "scenarios"),
    *("option-sets", "planned-works", "planned-steps", "due-works"),
    *("report-plans", "reports", "deliveries", "refused-addresses"),
    *("contractor", "people", "tokens", "export-files"),
)
OFFICES_TABLES = (
    *("changes", "terms", "calendar-feeds", "bulk-releases", "uploads"),
    *("reading-reviews", "stop-events", "visit-moves", "wear-limits", "wear-tracks"),
    *("hand-overs", "handed-rows"),
    *("track-points", "hyperparameters", "planning-rules"),
)


def _files() -> Matrix:
    found: Matrix = {}
    for name in (*REGISTER_FILES, "gauges", "readings"):
        found["POST", f"{API}imports/{name}"] = OFFICE
        found["GET", f"{API}imports/{name}/template"] = MEMBERS
    for names, door in ((EVERYONES_TABLES, MEMBERS), (OFFICES_TABLES, OFFICE)):
        for name in names:
            for form in ("csv", "jsonl"):
                found["GET", f"{API}exports/{name}.{form}"] = door
    for name in ("register.zip", "everything.zip", "everything.jsonl.zip"):
        found["GET", f"{API}exports/{name}"] = MEMBERS
    return found


def _register_pages() -> Matrix:
    """Pages on which the office sets up and changes what stands where."""
    return {
        **{
            (ANY, f"machines/<pk>/set-up/{step}"): of(Machine, OFFICES)
            for step in (
                "plate",
                "sheave",
                "ropes",
                "loads",
                "wrap",
                "limits",
                "readings",
            )
        },
        (ANY, "machines/new"): OFFICE,
        (ANY, "buildings/new"): OFFICE,
        (ANY, "owners/new"): OFFICE,
        (ANY, "buildings/<pk>"): of(Building, OFFICES),
        (ANY, "owners/<pk>"): of(Owner, OFFICES),
        (ANY, "contractor"): OFFICE,
        (ANY, "people"): OFFICE,
        (ANY, "imports"): OFFICE,
        (ANY, "imports/store"): OFFICE,
        (ANY, "imports/<pk>"): of(ImportFile, OFFICES),
        **{
            (ANY, f"terms{part}"): OFFICE
            for part in ("", "/rates", "/lead-times", "/thresholds", "/checks")
        },
        (ANY, "people/invite"): OFFICE,
        (ANY, "people/<pk>/phone"): of(Membership, OFFICES),
        (ANY, "account/phone"): STAFF,
        (ANY, "phones"): OFFICE,
        **{
            (ANY, f"people/<pk>{act}"): of(Membership, OFFICES)
            for act in ("", "/let-go", "/take-back", "/send-link", "/reset-factor")
        },
        (ANY, "people/<pk>/key"): of(Membership, OFFICES),
        (ANY, "keys/<pk>/end"): of(Token, OFFICES),
        (ANY, "keys/<pk>/replace"): of(Token, OFFICES),
        (ANY, "owners/<pk>/retire"): of(Owner, OFFICES),
        (ANY, "buildings/<pk>/retire"): of(Building, OFFICES),
        (ANY, "machines/<pk>/retire"): of(Machine, OFFICES),
        (ANY, "pulleys/<pk>"): of(Pulley, OFFICES),
        (ANY, "changes"): OFFICE,
        (ANY, "exports"): MEMBERS,
        (ANY, "exports/new"): MEMBERS,
        (ANY, "exports/<pk>/file"): of(ExportFile, THEIR_OWN),
        (ANY, "exports/<pk>/remove"): of(ExportFile, THEIR_OWN),
    }


def _pages() -> Matrix:
    """Pages outside the API; the administrator's are Django's own."""
    found: Matrix = {
        (ANY, "today"): OFFICE,
        (ANY, "estate"): MEMBERS,
        (ANY, "estate/<pk>"): of(Building, EVERYONES),
        (ANY, "machines/<pk>/answer"): of(Machine, OWNERS_MATTERS),
        (ANY, "answers/<pk>/seen"): of(OwnerAnswer, OFFICES),
        (ANY, "portfolio"): MEMBERS,
        (ANY, "portfolio/by-building"): MEMBERS,
        (ANY, "portfolio/by-owner"): MEMBERS,
        (ANY, "portfolio/by-part"): MEMBERS,
        (ANY, "portfolio.csv"): MEMBERS,
        (ANY, "calendar"): OFFICE,
        (ANY, "calendar/addresses"): OFFICE,
        (ANY, "calendar/addresses/new"): OFFICE,
        (ANY, "calendar/addresses/<pk>/end"): of(CalendarFeed, OFFICES),
        (ANY, "works"): OFFICE,
        (ANY, "works/join"): OFFICE,
        (ANY, "works/<pk>"): of(PlannedWork, EVERYONES),
        (ANY, "works/<pk>/change"): of(PlannedWork, OFFICES),
        (ANY, "works/<pk>/spent"): of(PlannedWork, OFFICES),
        (ANY, "works/<pk>/done"): of(PlannedWork, STAFF_ACTS),
        (ANY, "machines/<pk>/plan"): of(Machine, OFFICES),
        (ANY, "machines/<pk>/unplanned"): of(Machine, OFFICES),
        (ANY, "machines/<pk>/done"): of(Machine, STAFF_ACTS),
        (ANY, "visits/<pk>/move"): of(Visit, STAFF_ACTS),
        (ANY, "visits/<pk>"): of(Visit, EVERYONES),
        (ANY, "visits/<pk>/photos"): of(Visit, STAFF_ACTS),
        (ANY, "stops/<pk>/running"): of(Stop, STAFF_ACTS),
        (ANY, "phones/file"): OFFICE,
        (ANY, "phones/file/<pk>"): of(Upload, OFFICES),
        (ANY, "forecasts"): OFFICE,
        (ANY, "gauges"): OFFICE,
        (ANY, "gauges/new"): OFFICE,
        (ANY, "gauges/<pk>"): of(Gauge, OFFICES),
        (ANY, "stops/<pk>"): of(Stop, EVERYONES),
        (ANY, "stops/<pk>/accept"): of(Stop, STAFF_ACTS),
        (ANY, "stops/<pk>/refute"): of(Stop, STAFF_ACTS),
        (ANY, "stop-releases"): OFFICE,
        (ANY, "stop-releases/<pk>"): of(BulkRelease, OFFICES),
        (ANY, "budget"): OFFICE,
        (ANY, "reports"): MEMBERS,
        (ANY, "reports/links"): OFFICE,
        (ANY, "reports/addresses"): OFFICE,
        (ANY, "reports/addresses/<pk>/clear"): of(RefusedAddress, OFFICES),
        (ANY, "reports/links/<pk>/end"): of(Delivery, OFFICES),
        (ANY, "service"): OFFICE,
        (ANY, "service/retry"): OFFICE,
        (ANY, "hand-overs"): OFFICE,
        (ANY, "hand-overs/take"): OFFICE,
        **{
            (ANY, f"hand-overs/<pk>/{act}"): of(HandOver, OFFICES)
            for act in ("file", "close", "withdraw")
        },
        (ANY, "machines/<pk>/hand-over"): of(Machine, OFFICES),
        (ANY, "machines/<pk>/try"): of(Machine, OFFICES),
        (ANY, "machines/<pk>/try/keep"): of(Machine, OFFICES),
        (ANY, "machines/<pk>/window"): of(Machine, OFFICES),
        (ANY, "machines/<pk>/comparison"): of(Machine, OFFICES),
        (ANY, "scenarios/<pk>"): of(Scenario, EVERYONES),
        (ANY, "scenarios/<pk>/change"): of(Scenario, OFFICES),
        (ANY, "reports/new"): OFFICE,
        (ANY, "reports/<pk>"): of(Report, ISSUED_ONES),
        (ANY, "reports/<pk>/send"): of(Report, OFFICES),
        (ANY, "reports/plans/new"): OFFICE,
        (ANY, "reports/plans/<pk>"): of(ReportPlan, OFFICES),
        (ANY, "readings-to-confirm"): OFFICE,
        (ANY, "machines/<pk>"): of(Machine, EVERYONES),
        (ANY, "findings/<pk>"): of(Finding, EVERYONES),
        (ANY, "readings/<pk>"): of(Reading, EVERYONES),
        (ANY, "stops/<pk>/acknowledge"): of(Stop, STAFF_ACTS),
        (ANY, "report-links/<str:signed>"): BY_SECRET,
        (ANY, "prefer"): OPEN,
        **{
            (ANY, f"field/{name}"): OPEN
            for name in ("", "manifest.webmanifest", "worker.js")
        },
    }
    found |= _register_pages()
    found |= {
        (ANY, path): OPEN
        for path in (
            *("", "health/live", "health/ready", "log-in", "log-out"),
            # Forms for a code; what it opens is with whoever has one.
            *("report-links", "report-links/again", "set-password"),
            *("admin/login/", "admin/logout/", "admin/jsi18n/"),
        )
    }
    found |= {
        (ANY, path): PERSONS
        for path in (
            *("account", "account/password", "account/second-factor"),
            *("account/sessions", "second-factor", "confirm"),
        )
    }
    found |= {
        (ANY, path): BY_SECRET for path in ("metrics", "set-password/<uidb64>/<token>")
    }
    tables = {
        **{f"fleet/{name}": model for name, model in _CHANGED_IN_PAGES.items()},
        **{f"inspections/{name}": model for name, model in _READ_IN_PAGES.items()},
        "inspections/gauge": Gauge,
        "fleet/change": Change,
    }
    for name, model in tables.items():
        is_read = name.rpartition("/")[2] in _READ_IN_PAGES or model is Change
        found[ANY, f"admin/{name}/"] = OFFICE
        found[ANY, f"admin/{name}/add/"] = NOBODYS if is_read else OFFICE
        found[ANY, f"admin/{name}/<pk>/history/"] = of(model, OFFICES)
        found[ANY, f"admin/{name}/<pk>/change/"] = of(model, OFFICES)
        found[ANY, f"admin/{name}/<pk>/delete/"] = NOBODYS
        found[ANY, f"admin/{name}/<pk>/"] = of(model, OFFICES)
    servers = ("contractor", "job", "person", "token")
    for name in ("auth/group", *(f"fleet/{one}" for one in servers)):
        for part in ("", "add/", *(f"<pk>/{p}" for p in _PAGES_OF_A_ROW)):
            found[ANY, f"admin/{name}/{part}"] = KEEPERS
    for name in ("fleet/token", "fleet/job"):
        found[ANY, f"admin/{name}/add/"] = NOBODYS
    for name in ("fleet/token", "fleet/contractor", "fleet/job"):
        found[ANY, f"admin/{name}/<pk>/delete/"] = NOBODYS
    found[ANY, "admin/fleet/person/<id>/password/"] = KEEPERS
    both = replace(OFFICE, keeper=YES)
    for path in ("", "password_change/", "password_change/done/"):
        found[ANY, f"admin/{path}"] = both
    found[ANY, "admin/(?P<app_label>fleet|auth|inspections)/"] = both
    found[ANY, "admin/autocomplete/"] = NOBODYS
    found[ANY, "admin/r/<path:content_type_id>/<pk>/"] = NOBODYS
    found[ANY, "admin/(?P<url>.*)"] = NOBODYS
    return found


_PAGES_OF_A_ROW = ("history/", "change/", "delete/", "")
_CHANGED_IN_PAGES = {
    "owner": Owner,
    "building": Building,
    "machine": Machine,
    "sheave": Sheave,
    "ropeset": RopeSet,
    "groove": Groove,
    "rope": Rope,
    "work": Work,
}
_READ_IN_PAGES = {
    "visit": Visit,
    "reading": Reading,
    "assessment": Assessment,
    "finding": Finding,
    "stop": Stop,
    "forecast": Forecast,
}
MATRIX: Matrix = _lists() | _acts() | _factors() | _answers() | _files() | _pages()
