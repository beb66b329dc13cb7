"""One settings file; the environment says the few things that differ."""

import os
import sys
from pathlib import Path

import dj_database_url

from config.env import address, flag, hours, origins, secret, words

BASE = Path(__file__).resolve().parent.parent
# The demo has its own folder, port and cookies: see config/demo_mark.py.
DEMO = flag("KETTLEBOOK_DEMO", default=sys.argv[1:2] == ["demo"])
HOME = (
    Path(os.environ.get("KETTLEBOOK_DEMO_HOME") or BASE / ".demo")
    if DEMO
    else Path(os.environ.get("KETTLEBOOK_HOME") or BASE / ".data")
)
HOME.mkdir(mode=0o700, parents=True, exist_ok=True)

VERSION = "0.1.0"
# Whoever gives a key serves, or looks after what is served.
DEBUG = flag("DEBUG", default=not os.environ.get("SECRET_KEY", "").strip())
HTTPS = flag("HTTPS", default=False)
# Only this address is believed when it says who asks, and whether by https. The server
# strikes out such headers of anybody else: see config/serving.py.
TRUSTED_PROXY = address("TRUSTED_PROXY", default="127.0.0.1" if HTTPS else "")
SECRET_KEY = secret("SECRET_KEY", spare="only-for-development" if DEBUG else None)
ALLOWED_HOSTS = words("ALLOWED_HOSTS", default="localhost,127.0.0.1,[::1],testserver")
CSRF_TRUSTED_ORIGINS = words("CSRF_TRUSTED_ORIGINS", default="")
if HTTPS:
    CSRF_TRUSTED_ORIGINS += origins(ALLOWED_HOSTS)

INSTALLED_APPS = [
    "config",
    "labels",
    "costing",
    "production",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "axes",
    "django_filters",
    "django_htmx",
    "django_tables2",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "config.middleware.content_policy",
    "config.middleware.only_utf_8",
    "config.signing_in.at_its_own_address",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "config.middleware.not_kept",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "config.signing_in.stays_signed_in",
    "config.signing_in.SignInFirst",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
    "config.full_disk.SaysFullDisk",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "config.context.house",
            ],
        },
    }
]
# 500 rows of a purchase, or a place to count: a box for each lot, and its reason.
DATA_UPLOAD_MAX_NUMBER_FIELDS = 12_000
FORM_RENDERER = "config.rendering.HouseRenderer"
DJANGO_TABLES2_TEMPLATE = "table.html"

DATABASES = {
    "default": dj_database_url.parse(
        os.environ.get("DATABASE_URL") or f"sqlite:///{HOME / 'kettlebook.sqlite3'}",
        conn_max_age=60,
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["OPTIONS"] = {
        # Two writers wait for each other instead of failing half way.
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        # A deed that was answered is on the disk, whatever goes out.
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
# How often, by whom and from where: see config/password_tries.py.
AXES_HANDLER = "config.password_tries.Tries"
AXES_LOCKOUT_CALLABLE = "config.password_tries.shut_out"
CSRF_FAILURE_VIEW = "config.signing_in.stale_form"
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "start"
LOGOUT_REDIRECT_URL = "login"

LANGUAGE_CODE = "en-us"
TIME_ZONE = "UTC"
USE_TZ = True
USE_I18N = False
STATIC_URL = "static/"
# Served straight from the apps, so that an installation has no extra step.
WHITENOISE_USE_FINDERS = True

# A browser keeps cookies by host, not by port: all of the demo begin with this.
APART = "demo_" if DEMO else ""
SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = f"{APART}sessionid", f"{APART}csrftoken"
if DEMO:
    MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"
SESSION_COOKIE_HTTPONLY = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
# From the last page that was asked for; what was typed by then is kept.
SESSION_COOKIE_AGE = 3600 * hours("IDLE_HOURS", default=12)
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SECURE_REDIRECT_EXEMPT = [r"^healthz$"]
# A browser that came by https comes by https for a month.
SECURE_HSTS_SECONDS = 30 * 24 * 3600 if HTTPS else 0
SILENCED_SYSTEM_CHECKS = [
    "security.W005",  # Other names below this one are not this house's to bind.
    "security.W021",  # Nor is a browser's built-in list, which is left only slowly.
]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}
    },
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "loggers": {
        # It would write the names and addresses of those who sign in.
        "axes": {"level": "CRITICAL"},
        # A fault of a page is told where the server runs.
        "django": {"handlers": ["console"], "level": "INFO" if DEBUG else "ERROR"},
        "kettlebook": {
            "handlers": ["console"],
            "level": os.environ.get("LOG_LEVEL", "WARNING" if DEBUG else "INFO"),
        },
    },
}
