"""Every setting, for every kind of install; what differs comes from the environment."""

from datetime import timedelta
from pathlib import Path
from typing import Any

from csp.constants import NONE, SELF

from config.api.start import START
from config.env import (
    keeping_files,
    read_choice,
    read_currency,
    read_database,
    read_debug,
    read_flag,
    read_list,
    read_mail,
    read_redis,
    read_text,
    read_zone,
    require_hosts,
    require_secret,
)
from config.logs import logging_as
from config.secret import keep_secret_key

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(read_text("DATA_DIR", str(BASE_DIR / ".data")))

# ---- kind of install
PRODUCTION = read_flag("PRODUCTION", default=False)
DEBUG = read_debug("DEBUG", production=PRODUCTION)
REDIS_URL = read_redis("REDIS_URL")

# ---- who may reach it
# Refused at the start, not by a check: web servers and workers run no checks.
if PRODUCTION:
    SECRET_KEY = require_secret("SECRET_KEY")
    ALLOWED_HOSTS = require_hosts("ALLOWED_HOSTS")
else:
    SECRET_KEY = read_text("SECRET_KEY") or keep_secret_key(DATA_DIR)
    ALLOWED_HOSTS = read_list("ALLOWED_HOSTS", ("localhost", "127.0.0.1", "[::1]"))
CSRF_TRUSTED_ORIGINS = read_list("CSRF_TRUSTED_ORIGINS")

# ---- parts
INSTALLED_APPS = [
    "config",
    "schedules",
    "visits",
    "fleet",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "knox",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "axes",
    "simple_history",
    "csp",
]
MIDDLEWARE = [
    "config.logs.name_request",
    "config.lengths.require_length",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "config.private.keep_no_copy",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "config.languages.speak_on_phones",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "csp.middleware.CSPMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
    # last: it turns a refused sign-in into its answer
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
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

# ---- database
DATABASES: dict[str, dict[str, Any]] = {
    "default": read_database(
        "DATABASE_URL",
        f"sqlite:///{DATA_DIR / 'roofround.sqlite3'}",
        password=read_text("DATABASE_PASSWORD"),
    )
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
if DATABASES["default"]["ENGINE"] == "django.db.backends.postgresql":
    # A connection of its own costs a request more than most of its work does; one that died
    # meanwhile is noticed and replaced.
    DATABASES["default"] = {
        "CONN_MAX_AGE": 600, "CONN_HEALTH_CHECKS": True, **DATABASES["default"],
    }  # fmt: skip
    # config/statements.py has its statements prepared, which Django forbids unless told; planned
    # once for any values, or planning them would take longer than answering.  Disks that turn are
    # out of date, and what is asked for often lies in memory, where each row costs more beside its
    # page than it did: what a few fans hang on is found by index, however small its table was then.
    DATABASES["default"]["OPTIONS"] = {
        "prepare_threshold": 1,
        "options": "-c plan_cache_mode=force_generic_plan"
        " -c random_page_cost=1.1 -c cpu_tuple_cost=0.03",
        **DATABASES["default"].get("OPTIONS", {}),
    }  # fmt: skip
elif DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # IMMEDIATE: a transaction that reads, then writes, waits its turn instead of failing.
    with keeping_files(DATA_DIR):
        DATABASES["default"]["OPTIONS"] = {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL",
        }

# ---- people
AUTH_USER_MODEL = "fleet.Person"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
# By person and address together: a stranger elsewhere cannot lock a technician out.
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_RESET_ON_SUCCESS = True
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False  # what is refused is not counted
AXES_DISABLE_ACCESS_LOG = True
AXES_VERBOSE = False
AXES_CLIENT_IP_CALLABLE = "config.api.signing_in.sender_of"
AXES_HANDLER = "config.api.spraying.ManyNamesHandler"
AXES_LOCKOUT_CALLABLE = "config.api.signing_in.refuse_for_now"
# A device's key lasts a quarter from its last day of use.
KNOX_TOKEN_MODEL = "fleet.DeviceKey"  # noqa: S105  # a model, no secret
MIGRATION_MODULES = {"knox": None}
REST_KNOX = {
    "TOKEN_TTL": timedelta(days=90),
    "AUTO_REFRESH": True,
    "MIN_REFRESH_INTERVAL": 24 * 3600,
}
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "login"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("MinimumLengthValidator", "CommonPasswordValidator", "NumericPasswordValidator")
]

# ---- what a browser is told
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = PRODUCTION
# asked from within, straight and by plain HTTP
SECURE_REDIRECT_EXEMPT = [r"^healthz$", r"^readyz$", r"^metrics$"]
SECURE_REFERRER_POLICY = "same-origin"
if PRODUCTION:
    SECURE_HSTS_SECONDS = 30 * 24 * 3600
# W005 and W021 want promises about every other name under the domain, which are not ours to make.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
if not PRODUCTION:
    # one setting answers all of these, and config.W003 names it
    SILENCED_SYSTEM_CHECKS += [f"security.W0{number}" for number in ("04", "08", "12", "16")]
BEHIND_PROXY = read_flag("BEHIND_PROXY", default=False)
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

# ---- words, days, files
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
LOCALE_PATHS = [BASE_DIR / app / "locale" for app in ("config", "fleet", "visits", "schedules")]
FORMAT_MODULE_PATH = ["config.formats"]
USE_TZ = True
TIME_ZONE = "UTC"
STATIC_URL = "static/"
if PRODUCTION:
    STATIC_ROOT = DATA_DIR / "static"
# Embedded, files are served from where they lie: no collecting step before the first page.
WHITENOISE_USE_FINDERS = not PRODUCTION
STATIC_STORAGE = (
    "config.static_files.HashedFiles"
    if PRODUCTION
    else "django.contrib.staticfiles.storage.StaticFilesStorage"
)
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": STATIC_STORAGE},
    "photos": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {
            "location": DATA_DIR / "photos",
            "file_permissions_mode": 0o640,
            "directory_permissions_mode": 0o750,
        },
    },
}
# Where a photo was taken tells where somebody was.
PHOTO_KEEP_POSITION = read_flag("PHOTO_KEEP_POSITION", default=False)

# ---- jobs: without Redis a task runs in place, where it is called
CELERY_BROKER_URL = REDIS_URL or "memory://localhost/"
CELERY_TASK_ALWAYS_EAGER = not REDIS_URL
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TIMEZONE = TIME_ZONE
# A message is done with when its job is: one whose worker died goes to another.
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
# One at a time: what lies in a busy worker's hands nobody else can do.
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_BROKER_TRANSPORT_OPTIONS = {
    # Longer than any job may take (schedules/jobs/timetable.py), else two workers have it.
    "visibility_timeout": 3600,
    "socket_connect_timeout": 5,
    "socket_timeout": 30,
    "socket_keepalive": True,
}
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_MAX_RETRIES = None  # as often as it takes

# ---- where people find us: links in emails begin with it
HERE = f"https://{ALLOWED_HOSTS[0]}" if PRODUCTION and ALLOWED_HOSTS else "http://127.0.0.1:8000"
PUBLIC_URL = read_text("PUBLIC_URL", HERE).rstrip("/")

# ---- where the company's own people are; without it, where most of the sites stand
OFFICE_TIME_ZONE = read_zone("OFFICE_TIME_ZONE")

# ---- money: one currency for all that is quoted, reckoned and agreed
CURRENCY = read_currency("CURRENCY", "USD")

# ---- mail: without a server it is kept as files, which a page shows
MAIL_FOLDER = DATA_DIR / "mail"
DEFAULT_FROM_EMAIL = read_text("MAIL_FROM", "Roofround <roofround@localhost>")
EMAIL_TIMEOUT = 30
MAIL = read_mail("MAIL_URL")
if MAIL:
    EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    EMAIL_HOST, EMAIL_PORT = MAIL.host, MAIL.port
    EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = MAIL.user, MAIL.password
    EMAIL_USE_TLS, EMAIL_USE_SSL = MAIL.starttls, MAIL.tls
else:
    EMAIL_BACKEND = "config.mail_folder.FolderBackend"

# ---- API
REST_FRAMEWORK = {
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["config.api.bodies.StrictJSONParser"],
    # The key first: who is nobody is then asked for one, 401 instead of 403.
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "config.api.signing_in.KeyAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_FILTER_BACKENDS": ["config.api.filters.NamedFilters"],
    "DEFAULT_PAGINATION_CLASS": "config.api.keyset.KeysetPagination",
    "DEFAULT_SCHEMA_CLASS": "config.api.schema.Operation",
    "EXCEPTION_HANDLER": "config.api.problems.answer_problem",
    # JSON is all there is: a parameter `format` is unknown like any other.
    "URL_FORMAT_OVERRIDE": None,
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Roofround",
    "DESCRIPTION": f"{START}- Amounts of money are in {CURRENCY}, the currency of this install.\n",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "COMPONENT_SPLIT_REQUEST": True,
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "PATH_CONVERTER_OVERRIDES": {"any_uuid": {"type": "string", "format": "uuid"}},
    "POSTPROCESSING_HOOKS": [
        "config.api.sparse.loosen_sparse_lists",
        "config.api.schema.put_keys_first",
        "config.api.schema.say_once",
    ],
    # What a code means is told where it needs telling, not by saying it twice.
    "ENUM_GENERATE_CHOICE_DESCRIPTION": False,
}

# ---- log: JSON lines where others collect them, readable ones on a terminal
LOG_FORMAT = read_choice("LOG_FORMAT", ("json", "text"), "json" if PRODUCTION else "text")
LOGGING = logging_as(LOG_FORMAT)

# ---- figures for a collector; without the token there is no such page
METRICS_TOKEN = read_text("METRICS_TOKEN")
