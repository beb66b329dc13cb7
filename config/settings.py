"""One settings file; the environment says the few things that differ."""

import os
from pathlib import Path

import dj_database_url

from config.env import flag, secret, words

BASE = Path(__file__).resolve().parent.parent
HOME = Path(os.environ.get("KETTLEBOOK_HOME") or BASE / ".data")
HOME.mkdir(parents=True, exist_ok=True)

VERSION = "0.1.0"
DEBUG = flag("DEBUG", default=True)
SECRET_KEY = secret("SECRET_KEY", spare="only-for-development" if DEBUG else None)
ALLOWED_HOSTS = words("ALLOWED_HOSTS", default="localhost,127.0.0.1,[::1],testserver")
CSRF_TRUSTED_ORIGINS = words("CSRF_TRUSTED_ORIGINS", default="")

INSTALLED_APPS = [
    "config",
    "labels",
    "costing",
    "production",
    "django.contrib.admin",
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
    "config.middleware.content_policy",
    "config.middleware.only_utf_8",
    "config.signing_in.at_its_own_address",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "config.signing_in.SignInFirst",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
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
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
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
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 1
AXES_LOCKOUT_TEMPLATE = "429.html"
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
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

SESSION_COOKIE_HTTPONLY = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = flag("HTTPS", default=False)

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}
    },
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "loggers": {
        "kettlebook": {
            "handlers": ["console"],
            "level": os.environ.get("LOG_LEVEL", "WARNING" if DEBUG else "INFO"),
        }
    },
}
