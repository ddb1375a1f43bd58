"""Settings of the shop, from the environment. Every variable is listed in README.md."""

import os
from pathlib import Path

import dj_database_url
from django.core.exceptions import ImproperlyConfigured

from shop.environment import env_bool, env_hours, env_list, env_number, make_folder, secret_key, sqlite_url

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("SHOP_DATA") or BASE_DIR / "data")

DEBUG = env_bool("SHOP_DEBUG", default=False)
HTTPS = env_bool("SHOP_HTTPS", default=False)
PUBLIC_HOSTS = env_list("SHOP_HOSTS")
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *PUBLIC_HOSTS]
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in PUBLIC_HOSTS] if HTTPS else []

DATABASE_URL = os.environ.get("DATABASE_URL") or sqlite_url(DATA_DIR / "shop.sqlite3")
try:
    _database = dict(dj_database_url.parse(DATABASE_URL))
except ValueError as error:
    raise ImproperlyConfigured(f"DATABASE_URL can't be read: {error}") from error
ON_SQLITE = _database["ENGINE"] == "django.db.backends.sqlite3"
if not ON_SQLITE and _database["ENGINE"] != "django.db.backends.postgresql":
    raise ImproperlyConfigured("DATABASE_URL must begin with sqlite:// or postgres://.")
if ON_SQLITE:
    _file = Path(str(_database["NAME"]))
    if _file.name in ("", ":memory:"):
        raise ImproperlyConfigured("DATABASE_URL names no file: write it as sqlite:////folder/shop.sqlite3.")
    make_folder(_file.parent)
    _database["OPTIONS"] = {
        "timeout": 5,
        # A transaction that has read can't be upgraded in WAL: it fails at once, whatever the timeout.
        "transaction_mode": "IMMEDIATE",
        # FULL, since a device forgets a fact once the server says it is saved: saved must mean on disk.
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    }
    SECRET_KEY = secret_key(_file.with_suffix(".secret-key"))
else:
    SECRET_KEY = secret_key(DATA_DIR / "shop.secret-key")
DATABASES = {"default": _database}
BACKUPS_DIR = Path(os.environ.get("SHOP_BACKUPS") or (_file.parent if ON_SQLITE else DATA_DIR) / "backups")
# One that is named may lie on a disk that is not mounted: made then, it would lie on the shop's own.
MAKES_BACKUPS_DIR = not os.environ.get("SHOP_BACKUPS")
BACKUP_MINUTES = env_number("SHOP_BACKUP_MINUTES", default=60, most=7 * 24 * 60)

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "jobs",
    "timing",
    "shop",
]
MIDDLEWARE = [
    # Outermost, so that static files, redirects and refusals carry them too.
    "shop.middleware.content_security_policy",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "shop.middleware.stamp",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "shop.middleware.by_itself",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shop.middleware.SignInMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
]
ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shop.context.shop_words",
            ],
        },
    }
]
# Widgets of our own are drawn from templates/ like everything else.
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = "UTC"  # moments are kept in UTC; the shop's own zone is a setting of the shop

STATIC_URL = "static/"
STATICFILES_DIRS = [BASE_DIR / "static"]
STATIC_ROOT = DATA_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}

AUTHENTICATION_BACKENDS = ["shop.auth.HandBackend"]
LOGIN_URL = "shop:sign-in"
LOGIN_REDIRECT_URL = "shop:home"
LOGOUT_REDIRECT_URL = "shop:sign-in"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("UserAttributeSimilarityValidator", "MinimumLengthValidator", "CommonPasswordValidator")
]

SESSION_ENGINE = "shop.sessions"
# How long a session stands with nothing asked, and how long at most. At the bench a hand may well work half a day on
# one piece; a night ends both.
SESSION_ENDS = {
    "desk": env_hours("SHOP_DESK_SESSION", default=(4, 12)),
    "bench": env_hours("SHOP_BENCH_SESSION", default=(10, 16)),
}
# Under HTTPS browsers take a cookie of such a name only from this very host, by HTTPS and for all its paths.
COOKIE_PREFIX = "__Host-" if HTTPS else ""
SESSION_COOKIE_NAME = f"{COOKIE_PREFIX}sessionid"
CSRF_COOKIE_NAME = f"{COOKIE_PREFIX}csrftoken"  # static/timing/outbox.js reads it
MESSAGE_STORAGE = "shop.messages.Storage"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Strict"
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {
            "format": "{asctime} {levelname} {name}: {message}",
            "style": "{",
            "datefmt": "%Y-%m-%dT%H:%M:%S%z",
        }
    },
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    "loggers": {"shop.door": {"level": "INFO"}},
}
