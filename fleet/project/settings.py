"""Django's settings: every value comes from the environment, none is unsafe.

`manage.py demo` and the tests fill the environment for themselves; everyone else
sets SECRET_KEY and ALLOWED_HOSTS, and DATABASE_URL unless the embedded server will
do. `docs/operations.md` lists every variable.
"""

from pathlib import Path

from django.utils.translation import gettext_lazy as _

from fleet import embedded
from fleet.platform import env
from fleet.platform.queue import broker
from fleet.platform.static_files import keep

BASE_DIR = Path(__file__).resolve().parent.parent.parent

# --- who we are -----------------------------------------------------------------------
SECRET_KEY = env.env_secret(
    "SECRET_KEY",
    how=(
        "Set it to a long random text, for instance the output of: "
        "python3 -c 'import secrets; print(secrets.token_urlsafe(50))'."
    ),
)
# Earlier ones: what they signed or sealed is still taken, nothing new is made by them.
SECRET_KEY_FALLBACKS = list(env.env_secrets("SECRET_KEY_FALLBACKS"))
DEBUG = False
ALLOWED_HOSTS = list(env.env_list("ALLOWED_HOSTS"))
CSRF_TRUSTED_ORIGINS = list(env.env_list("CSRF_TRUSTED_ORIGINS"))
ROOT_URLCONF = "fleet.project.urls"
WSGI_APPLICATION = "fleet.project.wsgi.application"

# --- https, on unless said otherwise --------------------------------------------------
_HTTPS = env.env_bool("HTTPS", default=True)
SESSION_COOKIE_SECURE = _HTTPS
CSRF_COOKIE_SECURE = _HTTPS
# No other host of the same domain can set a cookie of such a name.
COOKIE_PREFIX = "__Host-" if _HTTPS else ""
SESSION_COOKIE_NAME = f"{COOKIE_PREFIX}sessionid"
CSRF_COOKIE_NAME = f"{COOKIE_PREFIX}csrftoken"
LANGUAGE_COOKIE_NAME = f"{COOKIE_PREFIX}django_language"
SECURE_SSL_REDIRECT = _HTTPS
SECURE_HSTS_SECONDS = (
    env.env_int("HSTS_SECONDS", default=31_536_000, minimum=0) if _HTTPS else 0
)
# Only where all names below this one speak HTTPS too.
SECURE_HSTS_INCLUDE_SUBDOMAINS = _HTTPS and env.env_bool(
    "HSTS_SUBDOMAINS", default=True
)
SECURE_HSTS_PRELOAD = False
# To have a name built into browsers is for whoever owns all of the domain to decide.
SILENCED_SYSTEM_CHECKS = ["security.W021"]
SECURE_REDIRECT_EXEMPT = [r"^health/"]
# Whether a proxy of our own writes X-Forwarded-Proto and the end of X-Forwarded-For.
BEHIND_PROXY = env.env_bool("BEHIND_PROXY", default=False)
# The addresses of that proxy; of nobody else is what it writes believed.
PROXY_ADDRESSES = env.env_networks("PROXY_ADDRESSES")
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

# --- database: two roles, two aliases -------------------------------------------------
# Web and workers act as the app role, which owns nothing and is bound by row-level
# security; migrations run as the owner, on the alias of that name.
_APP_URL = env.env_secret("DATABASE_URL", default=None)
_OWNER_URL = env.env_secret("DATABASE_OWNER_URL", default=None)
_EMBEDDED_DIRECTORY = Path(
    env.env_text(
        "EMBEDDED_DATABASE_DIRECTORY",
        default=str(embedded.default_directory(project_root=BASE_DIR)),
    )
)
_GIVEN_URL = _APP_URL
if _APP_URL is None:
    if _OWNER_URL is not None:
        raise env.SettingMissing(
            "DATABASE_OWNER_URL is set and DATABASE_URL is not. Set both to one "
            "server, or none for the embedded database."
        )
    _APP_URL = embedded.url_for(directory=_EMBEDDED_DIRECTORY, role="app")
    _OWNER_URL = embedded.url_for(directory=_EMBEDDED_DIRECTORY, role="owner")
DATABASES = {"default": env.database_settings(_APP_URL)}
DATABASES["default"]["ATOMIC_REQUESTS"] = True
if _OWNER_URL is not None:
    DATABASES["owner"] = env.database_settings(_OWNER_URL, name="DATABASE_OWNER_URL")
# Set by web servers and workers for themselves
# (`fleet/platform/database/time_limits.py`); 0 is no limit.
WEB_STATEMENT_TIMEOUT_S = env.env_int("WEB_STATEMENT_TIMEOUT_S", default=10, minimum=0)
WEB_IDLE_TIMEOUT_S = env.env_int("WEB_IDLE_TIMEOUT_S", default=120, minimum=0)
WORKER_STATEMENT_TIMEOUT_S = env.env_int(
    "WORKER_STATEMENT_TIMEOUT_S", default=120, minimum=0
)
DATABASE_ROUTERS = ["fleet.platform.database.routers.OwnerMigrates"]
# A copy that follows the server, read where `fleet/platform/database/standby.py` says.
_STANDBY_URL = env.env_secret("STANDBY_DATABASE_URL", default=None)
if _STANDBY_URL is not None:
    if _GIVEN_URL is None:
        raise env.SettingMissing(
            "STANDBY_DATABASE_URL is set and DATABASE_URL is not: the embedded server "
            "has no standby."
        )
    DATABASES["standby"] = env.database_settings(
        _STANDBY_URL, name="STANDBY_DATABASE_URL"
    )
    DATABASE_ROUTERS.append("fleet.platform.database.routers.StandbyReads")
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# --- files of others ------------------------------------------------------------------
# Where a virus scanner speaks clamd's protocol; empty: no file is scanned.
FILE_SCANNER = env.env_text("FILE_SCANNER", default="")
if FILE_SCANNER and not FILE_SCANNER.startswith(("unix:/", "tcp://")):
    raise env.SettingOdd("FILE_SCANNER is unix:/path or tcp://host:port.")

# --- queue ----------------------------------------------------------------------------
CELERY_BROKER_URL = env.env_secret("CELERY_BROKER_URL", default=None)
if CELERY_BROKER_URL is None:
    if _GIVEN_URL is not None:
        raise env.SettingMissing(
            "CELERY_BROKER_URL is not set, and DATABASE_URL names a server of its own. "
            "Set it to a broker: amqp://... (RabbitMQ), redis://..., or pgmq://... on "
            "that same server."
        )
    CELERY_BROKER_URL = embedded.broker_url_for(directory=_EMBEDDED_DIRECTORY)
vars().update(
    broker.celery_settings(
        CELERY_BROKER_URL,
        certificates=broker.Certificates(
            authorities=env.env_text("BROKER_AUTHORITIES", default=None),
            own=env.env_text("BROKER_CERTIFICATE", default=None),
            key=env.env_text("BROKER_CERTIFICATE_KEY", default=None),
        ),
    )
)

# --- parts ----------------------------------------------------------------------------
INSTALLED_APPS = [
    "fleet",
    "inspections",
    "reports",
    "rest_framework",
    "django_filters",
    "django_htmx",
    "drf_spectacular",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.messages",
    "django.contrib.postgres",
    "django.contrib.sessions",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
]
AUTH_USER_MODEL = "fleet.Person"
MIDDLEWARE = [
    "fleet.platform.watching.logs.NameRequest",
    "fleet.platform.watching.counting.CountRequests",
    "fleet.platform.api.whole.WholeBody",
    "fleet.platform.access.content_policy.SayPolicy",
    "fleet.platform.api.https_only.RefusePlain",
    "django.middleware.security.SecurityMiddleware",
    "fleet.platform.static_files.CompressStatic",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "fleet.platform.access.middleware.KeepAnswers",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "fleet.platform.access.middleware.NotModified",
    "fleet.platform.api.limits.LimitRequests",
    "fleet.platform.api.whole.WholeFile",
    "fleet.platform.access.middleware.ConfineSession",
    "fleet.platform.api.gate.AskForFactor",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ]
        },
    }
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
] + [{"NAME": "fleet.platform.access.trade_words.TradeWords"}]
CSRF_FAILURE_VIEW = "fleet.platform.pages.forms.keeping.not_genuine"
LOGIN_URL = "log-in"
LOGIN_REDIRECT_URL = "front-door"
LOGOUT_REDIRECT_URL = "log-in"
# How long a mailed link to set a password is good.
PASSWORD_RESET_TIMEOUT = 7 * 86_400
# Of sessions in a browser; keys of devices have neither limit.
SESSION_IDLE_MINUTES = env.env_int("SESSION_IDLE_MINUTES", default=60, minimum=1)
SESSION_HOURS = env.env_int("SESSION_HOURS", default=12, minimum=1, maximum=336)
SESSION_COOKIE_AGE = SESSION_HOURS * 3600
# How long a password or second factor counts as just shown, for files and people.
CONFIRM_MINUTES = env.env_int("CONFIRM_MINUTES", default=15, minimum=1)
SUPERUSER_SECOND_FACTOR = env.env_bool("SUPERUSER_SECOND_FACTOR", default=True)
SECOND_FACTOR_TRIES = env.env_int("SECOND_FACTOR_TRIES", default=5, minimum=1)
# How many half minutes early or late a one-time code is taken besides its own.
ONE_TIME_CODE_STEPS = env.env_int(
    "ONE_TIME_CODE_STEPS", default=0, minimum=0, maximum=1
)
# Whether an address may be a permission by itself: calendars of programs that send no
# password, and links that an earlier version mailed.
SECRET_ADDRESSES = env.env_bool("SECRET_ADDRESSES", default=True)

# --- language and time ----------------------------------------------------------------
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
# Days with the month in words: 11/12 is another day to the next reader.
FORMAT_MODULE_PATH = "fleet.project.formats"
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

# --- files ----------------------------------------------------------------------------
STATIC_URL = "static/"
STATIC_ROOT = env.env_text("STATIC_ROOT", default=None)
MEDIA_ROOT = Path(
    env.env_text("MEDIA_ROOT", default=str(BASE_DIR / ".ropeseat" / "media"))
)
# Contractors' keys for seals on documents, for workers alone; without it none is set.
SEAL_KEYS = env.env_text("SEAL_KEYS", default=None)
STORAGES = {
    "default": {
        "BACKEND": "reports.storage.WholeFileStorage",
        "OPTIONS": {"allow_overwrite": True},
    },
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
FIXTURE_DIRS = [BASE_DIR / "fixtures"]
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
WHITENOISE_ADD_HEADERS_FUNCTION = keep

# --- limits ---------------------------------------------------------------------------
UPLOAD_MAX_BYTES = env.env_int("UPLOAD_MAX_BYTES", default=8_000_000, minimum=1000)
UPLOAD_MAX_READINGS = env.env_int("UPLOAD_MAX_READINGS", default=10_000, minimum=1)
DATA_UPLOAD_MAX_MEMORY_SIZE = UPLOAD_MAX_BYTES
DATA_UPLOAD_MAX_NUMBER_FIELDS = 5000
# A longer file is brought in by a worker; about two seconds' work in a web process.
IMPORT_ROWS_AT_ONCE = env.env_int("IMPORT_ROWS_AT_ONCE", default=5000, minimum=1)
# 0 is no limit. A telephone that sends again after each cut line stays far below.
REQUESTS_PER_MINUTE = env.env_int("REQUESTS_PER_MINUTE", default=1200, minimum=0)
TOKEN_GUESSES_PER_MINUTE = env.env_int(
    "TOKEN_GUESSES_PER_MINUTE", default=60, minimum=0
)
LOGIN_TRIES = env.env_int("LOGIN_TRIES", default=10, minimum=0)
JOB_MAX_ATTEMPTS = env.env_int("JOB_MAX_ATTEMPTS", default=10, minimum=1)
NIGHTLY_JOBS = ["inspections.tasks.nightly"]
# Whoever claims one of these claims those written next as well (queue/together.py).
JOBS_TOGETHER = [
    "inspections.tasks.assess",
    "inspections.tasks.project",
    "inspections.tasks.options",
]
# What goes out by mail; a restored service does none of it before somebody says so.
MAIL_JOBS = [
    "inspections.tasks.warn",
    "reports.tasks.deliver",
    "fleet.tasks.send_link",
    "fleet.tasks.tell_of_reuse",
    "fleet.tasks.tell_of_factor_added",
    "fleet.tasks.tell_of_factor_removed",
    "fleet.tasks.tell_of_factor_reset",
    "fleet.tasks.tell_of_codes_made",
    "fleet.tasks.tell_of_code_used",
]
# Queued for every machine that a change of the register touches.
REGISTER_CHANGE_JOB = "inspections.tasks.assess"
# What goes out beside the register, named by the apps above.
EXPORTS = ["inspections.exchange.outgoing.OUTGOING", "reports.exports.OUTGOING"]
# For so many days a file that a worker has made can be fetched.
EXPORT_KEEP_DAYS = env.env_int("EXPORT_KEEP_DAYS", default=3, minimum=1)
# What takes longer to make than this is not made while somebody waits.
EXPORT_DIRECT_S = env.env_int("EXPORT_DIRECT_S", default=20, minimum=1)
# The pages that people go to: name of the address, words, roles that see it.
NAVIGATION = [
    ("today", _("Today"), ("OFFICE",)),
    ("estate", _("Buildings"), ("OWNER_READER",)),
    ("portfolio", _("Portfolio"), ("OFFICE", "TECHNICIAN", "OWNER_READER")),
    ("readings-to-confirm", _("Readings to confirm"), ("OFFICE",)),
    ("works", _("Work"), ("OFFICE",)),
    ("calendar", _("Calendar"), ("OFFICE",)),
    ("budget", _("Budget"), ("OFFICE",)),
    ("reports", _("Reports"), ("OFFICE", "TECHNICIAN", "OWNER_READER")),
    ("new-machine", _("Set up a machine"), ("OFFICE",)),
    ("people", _("People and phones"), ("OFFICE",)),
    ("terms", _("Terms"), ("OFFICE",)),
    ("imports", _("Imports"), ("OFFICE",)),
    ("service", _("Service"), ("OFFICE",)),
]
# The text that stands beside every file with verdicts; "cautions" names its address.
CAUTIONS = "inspections.cautions.as_text"
# Which letters documents can print; names with others are refused.
FIRST_UNPRINTABLE = "reports.figures.lettering.first_unprintable"
# What knows the criteria sets and limits that machines are judged by.
REFUSAL_OF_CRITERIA_SET = "inspections.own_limits.refusal_of_set"
REFUSAL_OF_OWN_LIMITS = "inspections.own_limits.refusal_of_limits"
# What brings a long file in, by its name; "" is every other table of the register.
IMPORTERS = {
    "": "fleet.register.exchange.import_jobs.bring_in_register",
    "gauges": "inspections.exchange.import_job.bring_in_gauges",
    "readings": "inspections.exchange.import_job.bring_in_readings",
}
# What says a warning of a file's reading in the reader's language.
WARNINGS_IN_WORDS = "inspections.exchange.warned.in_words"
# Called when someone is let go, named by the apps above: (membership, at).
ENDED_WITH_A_PERSON = [
    "fleet.register.exchange.export_jobs.end_for",
    "inspections.planning.feeds.end_for",
    "reports.delivery.links.end_for",
    "fleet.platform.pages.forms.keeping.end_for",
]
# Where a name is written out, and the column of the membership beside it.
PEOPLE_NAMED_IN = {
    "fleet.Work": ("done_by", "done_by_member"),
    "reports.Report": ("released_by_name", "released_by_id"),
}
# Tables and their columns that name files in the storage.
FILES_NAMED_IN = [
    ("fleet_exportfile", "stored_as"),
    ("inspections_visitphoto", "file"),
    ("reports_report", "file"),
]
JOB_LEASE_S = env.env_int("JOB_LEASE_S", default=900, minimum=5)
JOB_RING_AGAIN_S = env.env_int("JOB_RING_AGAIN_S", default=180, minimum=1)

# So many days a phone keeps what it has sent: the age of the oldest backup that may
# be restored.
BACKUP_HORIZON_DAYS = env.env_int(
    "BACKUP_HORIZON_DAYS", default=30, minimum=1, maximum=400
)

# --- watching and tidying -------------------------------------------------------------
METRICS_TOKEN = env.env_secret("METRICS_TOKEN", default=None)
# Where processes put their counts together; all of one installation share it.
METRICS_DIRECTORY = Path(
    env.env_text("METRICS_DIRECTORY", default=str(BASE_DIR / ".ropeseat" / "metrics"))
)
METRICS_SOURCES = [
    "fleet.platform.watching.metrics.work.families",
    "inspections.metrics.families",
    "reports.metrics.families",
]
PRUNED = {
    "counts": "fleet.platform.access.counts.prune",
    "export files": "fleet.register.exchange.export_jobs.prune",
    "forms": "fleet.platform.pages.forms.keeping.prune",
    "import files": "fleet.register.exchange.import_jobs.prune",
    "jobs": "fleet.platform.watching.pruning.jobs",
    "pairing codes": "fleet.platform.access.pairing.prune",
    "sessions": "fleet.platform.watching.pruning.sessions",
    "upload answers": "inspections.pruning.answers",
}
# Touched by a worker or beat as long as it works; the health command looks at it.
HEARTBEAT_FILE = env.env_text("HEARTBEAT_FILE", default=None)

# --- API ------------------------------------------------------------------------------
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "fleet.platform.api.authentication.DeviceToken",
        "fleet.platform.api.authentication.Session",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["fleet.platform.api.permissions.MemberOnly"],
    "DEFAULT_PARSER_CLASSES": ["fleet.platform.api.parsers.StrictJSONParser"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PAGINATION_CLASS": "fleet.platform.api.pagination.ById",
    "DEFAULT_FILTER_BACKENDS": ["fleet.platform.api.filters.StrictFilterBackend"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "fleet.platform.api.errors.problem_response",
    "UNAUTHENTICATED_USER": None,
    # ?format= would be a query parameter outside every list's own.
    "URL_FORMAT_OVERRIDE": None,
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Ropeseat",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "ENUM_NAME_OVERRIDES": {
        "TokenScopeEnum": "fleet.platform.choices.TokenScope",
        "DueStateEnum": "inspections.models.DueState",
        "StopCauseEnum": "inspections.models.StopCause",
        "JobStateEnum": "fleet.platform.choices.JobState",
        "MembershipStateEnum": "fleet.register.api.people_serializers.STATES",
        "WorkKindEnum": "fleet.register.choices.WorkKind",
        "PulleyKindEnum": "fleet.register.choices.PulleyKind",
        "VisitKindEnum": "inspections.models.VisitKind",
        "ReadingStateEnum": "inspections.models.ReadingState",
        "ForecastStateEnum": "inspections.models.ForecastState",
        "ForecastRunStateEnum": "inspections.models.RunState",
        "CauseEnum": "inspections.models.RunCause",
        "JudgedAnewCauseEnum": "inspections.models.Cause",
        "ReportStateEnum": "reports.models.ReportState",
        "ReportKindEnum": "reports.models.ReportKind",
        "UrgentMailStateEnum": "fleet.platform.models.outgoing.OutgoingState",
        "PlannedWorkStateEnum": "inspections.models.PlanState",
        "OptionKindEnum": "inspections.decisions.records.kind.OptionKind",
        "DeliveryStateEnum": "reports.models.DeliveryState",
        "OwnerAnswerEnum": "inspections.models.Said",
    },
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "inspections.api.cautioned.describe_cautions",
        "fleet.platform.api.openapi.add_problems",
    ],
}

# --- mail and logs --------------------------------------------------------------------
EMAIL_BACKEND = env.env_text(
    "EMAIL_BACKEND", default="django.core.mail.backends.smtp.EmailBackend"
)
EMAIL_HOST = env.env_text("EMAIL_HOST", default="localhost")
EMAIL_PORT = env.env_int("EMAIL_PORT", default=25, minimum=1, maximum=65535)
EMAIL_HOST_USER = env.env_text("EMAIL_HOST_USER", default="")
EMAIL_HOST_PASSWORD = env.env_secret("EMAIL_HOST_PASSWORD", default="")
_EMAIL_SECURITY = env.env_choice(
    "EMAIL_SECURITY", choices=("none", "starttls", "tls"), default="none"
)
EMAIL_USE_TLS = _EMAIL_SECURITY == "starttls"
EMAIL_USE_SSL = _EMAIL_SECURITY == "tls"
DEFAULT_FROM_EMAIL = env.env_text("EMAIL_FROM", default="ropeseat@localhost")
# What links in mails begin with; without it every report is attached.
PUBLIC_URL = env.env_text("PUBLIC_URL", default="")
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "lines": {"()": "fleet.platform.watching.logs.Lines"},
        "json": {"()": "fleet.platform.watching.logs.JsonLines"},
    },
    "handlers": {
        "stderr": {
            "class": "logging.StreamHandler",
            "formatter": env.env_choice(
                "LOG_FORMAT", choices=("lines", "json"), default="lines"
            ),
        }
    },
    "root": {
        "handlers": ["stderr"],
        "level": env.env_choice(
            "LOG_LEVEL",
            choices=("DEBUG", "INFO", "WARNING", "ERROR"),
            default="INFO",
        ),
    },
    # It says at each start that it has started.
    "loggers": {"pikepdf": {"level": "WARNING"}},
}
