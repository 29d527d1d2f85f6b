"""Settings, read from the environment. DEVELOPERS.md lists the variables."""

import zoneinfo

zoneinfo.reset_tzpath(to=())  # the pinned tzdata rules, not the machine's, which may be years behind

import os
import sqlite3
from pathlib import Path

import environ
from csp.constants import NONCE, NONE, SELF
from django.core.exceptions import ImproperlyConfigured
from django.core.management.utils import get_random_secret_key

from stewardship.journal.checks import sqlite_set_up

env = environ.Env()
BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(env.str("DATA_DIR", default=str(BASE_DIR / ".data"))).absolute()
DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)


def kept_secret(path: Path) -> str:
    """Return the secret that ``path`` holds; the first call makes it, readable by its owner alone."""
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        secret = path.read_text().strip()
        if not secret:
            raise ImproperlyConfigured(f"{path} is empty. Delete it, and the next start makes a new one.") from None
        return secret
    secret = get_random_secret_key()
    with open(descriptor, "w") as file:
        file.write(secret)
    return secret


def database() -> dict:
    """Return the database that ``DATABASE_URL`` names, else a SQLite file in the data folder."""
    found = env.db_url("DATABASE_URL", default="sqlite://")
    if "DATABASE_URL" not in os.environ:
        found["NAME"] = DATA_DIR / "stewardship.sqlite3"
    found["ATOMIC_REQUESTS"] = False  # with IMMEDIATE every read would take the write lock
    options = found.setdefault("OPTIONS", {})
    if found["ENGINE"].endswith("sqlite3"):
        # IMMEDIATE: a transaction that reads and then writes waits its turn instead of failing at once.
        found["CONN_MAX_AGE"] = None  # opening a file and setting it up takes longer than most reads
        options |= {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": sqlite_set_up(sqlite3.sqlite_version_info),
        }
    else:
        found |= {"CONN_MAX_AGE": 0, "CONN_HEALTH_CHECKS": True}  # the pool keeps connections, and tests them
        options["pool"] = {"min_size": 1, "max_size": 8, "timeout": 10}
    return found


SECRET_KEY = env.str("SECRET_KEY", default="") or kept_secret(DATA_DIR / "secret_key")
DEBUG = env.bool("DEBUG", default=False)
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=["localhost", "127.0.0.1", "[::1]"])
DATABASES = {"default": database()}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
REDIS_URL = env.str("REDIS_URL", default="")
if REDIS_URL:
    CACHES = {
        "default": {
            "BACKEND": "django.core.cache.backends.redis.RedisCache",
            "LOCATION": REDIS_URL,
            "KEY_PREFIX": "stewardship",
            "OPTIONS": {"socket_connect_timeout": 1, "socket_timeout": 1},
        }
    }
else:
    CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}

# How long a worker holds a job without a sign of life [s]; after that another one takes it over.
JOB_LEASE_SECONDS = env.int("JOB_LEASE_SECONDS", default=60)

# Private files: where they stand, how large one may be and how much a group may keep [bytes].
ATTACHMENTS_DIR = DATA_DIR / "attachments"
ATTACHMENT_MAX_BYTES = env.int("ATTACHMENT_MAX_BYTES", default=10 << 20)
ATTACHMENT_QUOTA_BYTES = env.int("ATTACHMENT_QUOTA_BYTES", default=1 << 30)
FILE_UPLOAD_HANDLERS = [
    "stewardship.attachments.receiving.Bounded",  # first: a form's file is not taken beyond what one may have
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

# How much a device may hand in within an hour, and what every device is told when it asks.
SYNC_MUTATIONS_AN_HOUR = env.int("SYNC_MUTATIONS_AN_HOUR", default=100_000)
SYNC_BYTES_AN_HOUR = env.int("SYNC_BYTES_AN_HOUR", default=128 << 20)
SYNC_NOTICE = env.str("SYNC_NOTICE", default="")

# Who may come in.
AUTH_USER_MODEL = "accounts.Person"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in ("UserAttributeSimilarityValidator", "MinimumLengthValidator", "CommonPasswordValidator")
]

# Signing in: by e-mail and password, on the pages (allauth) and without a browser (its headless API).
ACCOUNT_ADAPTER = "stewardship.accounts.adapter.Adapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_EMAIL_VERIFICATION = "mandatory"  # an invitation, a reset or a code proves the address
ACCOUNT_EMAIL_VERIFICATION_BY_CODE_ENABLED = True
ACCOUNT_EMAIL_VERIFICATION_SUPPORTS_RESEND = True
ACCOUNT_EMAIL_NOTIFICATIONS = True  # a letter tells of each change to how one signs in
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ACCOUNT_REAUTHENTICATION_REQUIRED = True
ACCOUNT_PASSWORD_RESET_BY_CODE_ENABLED = True  # a code works in any client, without a link to a page
ACCOUNT_PASSWORD_RESET_BY_CODE_TIMEOUT = 15 * 60  # mail may take a while
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_RATE_LIMITS = False  # ours count in the database: stewardship.accounts.limits
ACCOUNT_SESSION_REMEMBER = True
ALLAUTH_TRUSTED_PROXY_COUNT = env.int("TRUSTED_PROXIES", default=0)
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]
MFA_TOTP_ISSUER = "Stewardship record book"
MFA_TOTP_TOLERANCE = 1  # one step of 30 s to either side, as RFC 6238 section 5.2 recommends at most
MFA_RATE_LIMITS = False
MFA_TRUST_ENABLED = False
HEADLESS_CLIENTS = ("app", "browser")
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "/"
ACCOUNT_LOGOUT_REDIRECT_URL = LOGIN_URL

# What runs.
INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "allauth",
    "allauth.account",
    "allauth.headless",
    "allauth.mfa",
    "allauth.usersessions",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_filters",
    "django_htmx",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "rest_framework",
    "stewardship.journal",
    "stewardship.jobs",
    "stewardship.accounts",
    "stewardship.attachments",
    "stewardship.notices",
    "stewardship.places",
    "stewardship.catalog",
    "stewardship.credentials",
    "stewardship.workdays",
    "stewardship.treatments",
    "stewardship.closeout",
    "stewardship.reports",
    "stewardship.sync",
    "stewardship.web",
    "workers",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "stewardship.accounts.limits.Limits",
    "django_htmx.middleware.HtmxMiddleware",
]
ROOT_URLCONF = "stewardship.urls"
WSGI_APPLICATION = "stewardship.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        # before those of packages: their pages look like ours
        "DIRS": [BASE_DIR / "stewardship" / "web" / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "stewardship.web.access.of_every_page",
            ],
        },
    },
]

# The API: JSON only, every error a problem (RFC 9457), described by OpenAPI 3.1.
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "api.authentication.DeviceToken",  # the first one's challenge is that of a 401
        "api.authentication.SessionToken",
        "api.authentication.BrowserSession",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_PARSER_CLASSES": ["api.parsing.StrictJson"],
    "DEFAULT_RENDERER_CLASSES": ["api.rendering.Json"],
    "DEFAULT_SCHEMA_CLASS": "api.schema.Operations",
    "DEFAULT_METADATA_CLASS": None,
    "EXCEPTION_HANDLER": "api.problems.answer",
    "URL_FORMAT_OVERRIDE": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Stewardship service",
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "POSTPROCESSING_HOOKS": ["api.schema.complete"],  # not the enum hook: it does not read schemas of structs
    "SORT_OPERATIONS": False,
}

# Words, dates and numbers.
LANGUAGE_CODE = "en-us"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

# Files of the pages: served from the packages, or from STATIC_ROOT once ``collectstatic`` has filled it.
STATIC_URL = "static/"
STATIC_ROOT = env.str("STATIC_ROOT", default="") or None
WHITENOISE_USE_FINDERS = STATIC_ROOT is None
WHITENOISE_MANIFEST_STRICT = False  # a file collected too early is served uncompressed instead of failing the page
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"
        if STATIC_ROOT
        else "django.contrib.staticfiles.storage.StaticFilesStorage"
    },
}

# What a browser may do with the pages.
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "script-src": [SELF, NONCE],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "connect-src": [SELF],
        "worker-src": [SELF],
        "manifest-src": [SELF],
        "form-action": [SELF],
        "object-src": [NONE],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"

# HTTPS=on: the service stands behind a proxy that ends TLS and itself sets X-Forwarded-Proto.
HTTPS = env.bool("HTTPS", default=False)
if HTTPS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SECURE_SSL_REDIRECT = HTTPS
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0

# The address under which people reach the service: what a mail leads back to.
SITE_URL = env.str("SITE_URL", default="http://localhost:8000").rstrip("/")

# Mail: shown on the console until EMAIL_URL names a server.
vars().update(env.email_url("EMAIL_URL", default="consolemail://"))
EMAIL_TIMEOUT = 30  # s: far within the time for which a run has a letter for itself
DEFAULT_FROM_EMAIL = env.str("DEFAULT_FROM_EMAIL", default="stewardship@localhost")

# What went wrong is written to the console, whether DEBUG is on or off.
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
