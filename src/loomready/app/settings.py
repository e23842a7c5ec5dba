"""Django's settings. Everything that differs between homes comes from LOOMREADY_HOME."""

import os
import secrets
import tempfile
from pathlib import Path

from loomready.app.server import home_folder, read_only, static_url, time_zone
from loomready.catalogs import LOCALE

_NAMED = os.environ.get("LOOMREADY_HOME")
# Tests and checks have no home: they get a folder that goes with the process.
_SPARE = None if _NAMED else tempfile.TemporaryDirectory(prefix="loomready-")
HOME = Path(_SPARE.name) if _SPARE else Path(str(_NAMED))
# A home that cannot be written: a copy of it is shown, and nothing can be saved.
LOOKING = os.environ.get(read_only.LOOKING, "")
SECRET_KEY = home_folder.secret_key(HOME) if _NAMED else secrets.token_urlsafe(64)
DEBUG = False
# This machine's addresses that other devices on the network may use: serve.py names them, none without
# --share.
ROOM = os.environ.get("LOOMREADY_ROOM", "").split()
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *ROOM]

INSTALLED_APPS = ["django.contrib.staticfiles", "django_htmx", "loomready.app"]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "django.middleware.gzip.GZipMiddleware",  # before styles and scripts are answered: these are packed too
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "loomready.app.server.middleware.HeadersMiddleware",
    "loomready.app.server.middleware.OtherSitesMiddleware",
    "django.middleware.http.ConditionalGetMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "loomready.app.sharing.auth.GateMiddleware",
    "loomready.app.server.middleware.FirstStartMiddleware",
    "loomready.app.changes.saved_note.SavedNoteMiddleware",
]
ROOT_URLCONF = "loomready.app.urls"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "loomready.app.context.page",
                "loomready.app.sharing.context.who",
                "loomready.app.changes.saved_note.context",
            ],
            "builtins": ["django.templatetags.i18n", "loomready.app.templatetags.loom"],
        },
    }
]
WSGI_APPLICATION = "loomready.app.wsgi.application"
FORM_RENDERER = "django.forms.renderers.DjangoTemplates"

# What was answered is on the disk: WAL with a full sync at every commit.
DATABASES = {
    "default": {
        "ENGINE": "loomready.app.server.sqlite",
        "NAME": HOME / home_folder.DATABASE,
        "CONN_MAX_AGE": None,
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 10,
            # Each thread's connection has a cache of its own: a small one, for the system caches the file.
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON; "
            "PRAGMA cache_size=-400;" + (" PRAGMA query_only=ON;" if LOOKING else ""),
        },
        "TEST": {"NAME": str(HOME / "test.sqlite3")},
    }
}

USE_I18N = True
USE_TZ = True
TIME_ZONE = time_zone.of_machine()
LANGUAGE_CODE = "en-us"
# Pages come in the browser's language where its catalog is there (see catalogs.py), in English else.
LOCALE_PATHS = [LOCALE]
LANGUAGES = [("en", "English")] + [
    (catalog.parts[-3].replace("_", "-").lower(), catalog.parts[-3])
    for catalog in sorted(LOCALE_PATHS[0].glob("*/LC_MESSAGES/django.mo"))
]

STATIC_URL = static_url.prefix()
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
WHITENOISE_IMMUTABLE_FILE_TEST = static_url.forever

# Bytes of one request: the largest backup that may come in, and a form around it.
MAX_BODY = 80 * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
DATA_UPLOAD_MAX_NUMBER_FILES = 1000
FILE_UPLOAD_MAX_MEMORY_SIZE = 8 * 1024 * 1024

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CSRF_COOKIE_SAMESITE = "Strict"
CSRF_COOKIE_HTTPONLY = True
CSRF_FAILURE_VIEW = "loomready.app.views.errors.forged"
# The server speaks plain http on this machine: the warnings that want https (HSTS, redirect, secure cookie).
SILENCED_SYSTEM_CHECKS = ["security.W004", "security.W008", "security.W016"]

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"one_line": {"()": "loomready.app.server.storage_faults.OneLine"}},
    "handlers": {
        "console": {"class": "logging.StreamHandler", "level": "ERROR", "filters": ["one_line"]},
        "nowhere": {"class": "logging.NullHandler"},
    },
    "root": {"handlers": ["console"], "level": "ERROR"},
    "loggers": {
        "waitress.queue": {"level": "ERROR"},
        # What a stranger may send as often as he likes is answered, not written to the terminal.
        "django.security.DisallowedHost": {"handlers": ["nowhere"], "propagate": False},
        "django.security.TooManyFilesSent": {"handlers": ["nowhere"], "propagate": False},
        "django.security.TooManyFieldsSent": {"handlers": ["nowhere"], "propagate": False},
        "django.security.RequestDataTooBig": {"handlers": ["nowhere"], "propagate": False},
    },
}
