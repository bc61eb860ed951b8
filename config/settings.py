"""Every setting, for every kind of install; what differs comes from the environment."""

from pathlib import Path
from typing import Any

from csp.constants import NONE, SELF

from config.env import keeping_files, read_database, read_flag, read_list, read_text, require_text
from config.secret import keep_secret_key

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(read_text("DATA_DIR", str(BASE_DIR / ".data")))

# ---- kind of install
PRODUCTION = read_flag("PRODUCTION", default=False)
DEBUG = read_flag("DEBUG", default=False)
REDIS_URL = read_text("REDIS_URL")

# ---- who may reach it
if PRODUCTION:
    SECRET_KEY = require_text("SECRET_KEY")
else:
    SECRET_KEY = read_text("SECRET_KEY") or keep_secret_key(DATA_DIR)
LOOPBACK = ("localhost", "127.0.0.1", "[::1]")
ALLOWED_HOSTS = read_list("ALLOWED_HOSTS", () if PRODUCTION else LOOPBACK)
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
    "simple_history",
    "csp",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "config.private.keep_no_copy",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "csp.middleware.CSPMiddleware",
    "simple_history.middleware.HistoryRequestMiddleware",
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
    "default": read_database("DATABASE_URL", f"sqlite:///{DATA_DIR / 'roofround.sqlite3'}")
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # IMMEDIATE: a transaction that reads, then writes, waits its turn instead of failing.
    with keeping_files(DATA_DIR):
        DATABASES["default"]["OPTIONS"] = {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL",
        }

# ---- people
AUTH_USER_MODEL = "fleet.Person"
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
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = PRODUCTION
SECURE_REDIRECT_EXEMPT = [r"^healthz$"]
SECURE_REFERRER_POLICY = "same-origin"
if PRODUCTION:
    SECURE_HSTS_SECONDS = 30 * 24 * 3600
if read_flag("BEHIND_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

# ---- words, days, files
LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
USE_TZ = True
TIME_ZONE = "UTC"
STATIC_URL = "static/"
if PRODUCTION:
    STATIC_ROOT = DATA_DIR / "static"
# Embedded, files are served from where they lie: no collecting step before the first page.
WHITENOISE_USE_FINDERS = not PRODUCTION
STATIC_STORAGE = (
    "whitenoise.storage.CompressedManifestStaticFilesStorage"
    if PRODUCTION
    else "django.contrib.staticfiles.storage.StaticFilesStorage"
)
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": STATIC_STORAGE},
}

# ---- jobs: without Redis a task runs in place, where it is called
CELERY_BROKER_URL = REDIS_URL or "memory://"
CELERY_TASK_ALWAYS_EAGER = not REDIS_URL
CELERY_TASK_IGNORE_RESULT = True
CELERY_TIMEZONE = TIME_ZONE

# ---- API: JSON only; the browsable pages need inline scripts, which the policy above refuses
REST_FRAMEWORK = {
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
}

# ---- log: errors are seen on the terminal, also outside debugging
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"terminal": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["terminal"], "level": "WARNING"},
    "loggers": {
        "django": {"handlers": [], "level": "WARNING", "propagate": True},
        # A full queue is waitress's normal day under load, not news.
        "waitress.queue": {"level": "ERROR"},
    },
}
