"""All settings. What differs between two shops comes from RACEWRIGHT_… variables, read with their types."""

from pathlib import Path
from urllib.parse import urlsplit

import dj_database_url
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from bending.lengths import TAPES
from shop import environment

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = environment.folder("RACEWRIGHT_DATA", BASE_DIR / ".var")

DEBUG = environment.flag("RACEWRIGHT_DEBUG", False)
DEMO = environment.flag("RACEWRIGHT_DEMO", False)
LABEL_ADDRESS = environment.address("RACEWRIGHT_ADDRESS", "http://localhost:8000")
HTTPS = urlsplit(LABEL_ADDRESS).scheme == "https"
ALLOWED_HOSTS = environment.words("RACEWRIGHT_HOSTS", [urlsplit(LABEL_ADDRESS).hostname or "localhost", "127.0.0.1"])
CSRF_TRUSTED_ORIGINS = [LABEL_ADDRESS]


def _secret_key() -> str:
    """The key from the variable, else one kept in the data folder and made at the first start."""
    kept = DATA_DIR / "secret-key"
    if given := environment.text("RACEWRIGHT_SECRET_KEY", ""):
        if len(given) < 50:
            raise ImproperlyConfigured("RACEWRIGHT_SECRET_KEY is too short; it must have 50 characters or more.")
        return given
    if not kept.exists():
        from django.core.management.utils import get_random_secret_key

        kept.touch(mode=0o600)
        kept.write_text(get_random_secret_key())
    return kept.read_text().strip()


SECRET_KEY = _secret_key()

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_tables2",
    "django_filters",
    "django_htmx",
    "csp",
    "axes",
    "shop.jobs",
    "shop.requests",
    "shop.work",
    "shop.tickets",
    "shop.tracking",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
    "shop.jobs.middleware.whose_page",
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
                "shop.jobs.context.frame",
            ],
            "builtins": [f"shop.jobs.templatetags.{name}" for name in ("racewright", "numbers", "times", "states")],
        },
    },
]

DATABASES = {
    "default": dj_database_url.parse(
        environment.database_url("RACEWRIGHT_DATABASE", f"sqlite:///{DATA_DIR / 'racewright.sqlite3'}"),
        conn_max_age=600,
        conn_health_checks=True,
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # FULL: an acknowledged record survives a power cut. IMMEDIATE: two writers queue up instead of failing.
    DATABASES["default"]["OPTIONS"] = {
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
    }
    # A file, not memory: the browser tests read it from a second thread, under the same journal as a shop's.
    DATABASES["default"]["TEST"] = {"NAME": str(DATA_DIR / "test.sqlite3")}

DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_USER_MODEL = "jobs.Person"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign-in"
AXES_FAILURE_LIMIT = 10
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "jobs/person_locked_out.html"

LANGUAGE_CODE = "en-us"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
BROWSER_DIR = BASE_DIR / "shop" / "browser"
FONTS_DIR = environment.folder("RACEWRIGHT_FONTS", DATA_DIR / "fonts")
STATICFILES_DIRS = [
    BROWSER_DIR / "static",
    ("fonts", FONTS_DIR),
    ("npm/idb", BROWSER_DIR / "node_modules" / "idb" / "build"),
]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "shop.jobs.static.Hashed"},
}
MEDIA_ROOT = DATA_DIR / "photos"

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "object-src": [NONE],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "form-action": [SELF],
    }
}
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SECURE_HSTS_SECONDS = 3600 * 24 * 30 if HTTPS else 0
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_AGE = 3600 * 24 * 14

DJANGO_TABLES2_TEMPLATE = "parts/table.html"
# The shop's own settings get a page of their own later; until then they stand here, each with its reason.
SHOP_NAME = environment.text("RACEWRIGHT_SHOP", "Conduit shop")
SHOP_TIME_ZONE = environment.text("RACEWRIGHT_TIME_ZONE", "America/Chicago")
# Inches of a stick as it comes: a run that is longer is joined, unless its document says another length.
STICK = environment.whole_number("RACEWRIGHT_STICK", 120, 24, 480)
TAPE = environment.choice("RACEWRIGHT_TAPE", "1/16", TAPES)
PAPER = environment.choice("RACEWRIGHT_PAPER", "letter", ("letter", "a4"))
