"""Settings come from the environment only, and are safe when nothing is set.

SHOP_MODE is `shop` (a real shop), `demo` (the invented shop on this machine) or `test`.
README.md, "Run it for real", lists every variable.
"""

from datetime import timedelta
from pathlib import Path

import dj_database_url
from csp.constants import NONE, SELF

from shop import environment

BASE_DIR = Path(__file__).resolve().parent.parent
SHOP_MODE = environment.choice("SHOP_MODE", {"shop", "demo", "test"}, "shop")
SHOP_DATA = Path(environment.text("SHOP_DATA") or BASE_DIR / ".data" / SHOP_MODE)

DEBUG = environment.flag("SHOP_DEBUG")
SECRET_KEY = environment.text("SHOP_SECRET_KEY")
ALLOWED_HOSTS = environment.words("SHOP_HOSTS")
if SHOP_MODE != "shop":
    SECRET_KEY = SECRET_KEY or environment.kept_secret(SHOP_DATA / "secret-key")
    ALLOWED_HOSTS = ALLOWED_HOSTS or ["127.0.0.1", "localhost", "[::1]", "testserver"]
elif not SECRET_KEY:
    # Commands such as `check` may run without a key; `serve` refuses (see shop/readiness.py).
    SECRET_KEY = "not-set"  # noqa: S105

BEHIND_PROXY = environment.flag("SHOP_BEHIND_PROXY")
SECURE = environment.flag("SHOP_HTTPS", default=SHOP_MODE == "shop")
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS] if SECURE else []
if BEHIND_PROXY:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_AGE = 14 * 24 * 3600
SECURE_SSL_REDIRECT = SECURE and BEHIND_PROXY
SECURE_HSTS_SECONDS = 31_536_000 if SECURE else 0
SECURE_REFERRER_POLICY = "strict-origin-when-cross-origin"
X_FRAME_OPTIONS = "DENY"

INSTALLED_APPS = [
    "shop.apps.ShopConfig",
    "catalog.apps.CatalogConfig",
    "inquiries.apps.InquiriesConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django_htmx",
    "csp",
    "axes",
]

MIDDLEWARE = [
    # Outside of all that answers, so that a page which was kept ready is counted too.
    "catalog.visits.middleware.CountViews",
    "shop.kept.middleware.KeptPages",
    "shop.languages.middleware.LanguageOfAddress",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "shop.profile.zone.ShopOnRequest",
    "axes.middleware.AxesMiddleware",
]

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "media-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "manifest-src": [SELF],
    }
}

ROOT_URLCONF = "shop.urls"
WSGI_APPLICATION = "shop.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "shop.profile.context.shop",
            ],
            "builtins": ["django.templatetags.i18n", "shop.templatetags.trade"],
            "loaders": [
                (
                    "django.template.loaders.cached.Loader",
                    ["django.template.loaders.filesystem.Loader"],
                )
            ],
        },
    }
]

SQLITE_OPTIONS = {
    # IMMEDIATE takes the write lock at the start, so a read that becomes a write cannot fail as "locked".
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    "init_command": "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;PRAGMA cache_size=-20000;",
}
DATABASE_URL = environment.text("DATABASE_URL")
if DATABASE_URL:
    DATABASES = {"default": dj_database_url.parse(DATABASE_URL, conn_max_age=600, conn_health_checks=True)}
else:
    SHOP_DATA.mkdir(parents=True, exist_ok=True)
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": str(SHOP_DATA / "shop.sqlite3"),
            "OPTIONS": SQLITE_OPTIONS,
            "CONN_MAX_AGE": None,
            # A file, not memory: live-server and thread tests need one that several connections share.
            "TEST": {"NAME": str(SHOP_DATA / "test.sqlite3")},
        }
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "shop.User"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
]
LOGIN_URL = "log-in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "log-in"

AXES_FAILURE_LIMIT = 6
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_CALLABLE = "shop.staff.views.locked_out"
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False

# What the public reads; the first is also the language of the desk, of papers and of mail. Each but the first stands in
# the address (shop/languages), and is named here as it names itself. Its words lie in shop/locale (`manage.py words`).
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
LANGUAGE_CODE = "en"
LOCALE_PATHS = [BASE_DIR / "shop" / "locale"]
USE_TZ = True
TIME_ZONE = "UTC"  # Stored and computed in UTC; shown in the shop's own zone (shop/profile/zone.py).
USE_I18N = True

STATIC_URL = "/static/"
STATIC_ROOT = SHOP_DATA / "static"
STATICFILES_DIRS = [BASE_DIR / "static"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if SHOP_MODE == "test"
        else "shop.sheets.ShopFiles"
    },
}
WHITENOISE_USE_FINDERS = SHOP_MODE == "test"

# Photographs: originals are private and kept as received; prints are what the public may see.
# Papers: PAPERS_DIR holds those the shop makes, RECEIVED_DIR those that speak for an instrument, kept as received.
ORIGINALS_DIR = SHOP_DATA / "originals"
PRINTS_DIR = SHOP_DATA / "prints"
PAPERS_DIR = SHOP_DATA / "papers"
RECEIVED_DIR = SHOP_DATA / "received"
# Mail as it was received, and what came attached to it: private.
MAIL_DIR = SHOP_DATA / "letters"
MAX_MAIL_BYTES = environment.whole("SHOP_MAX_MAIL_MB", 50) * 1024 * 1024
# Sound and film: RECORDINGS_DIR holds them as received, private; PLAYED_DIR the copies that the public may play.
RECORDINGS_DIR = SHOP_DATA / "recordings"
PLAYED_DIR = SHOP_DATA / "played"
# Views of the day that runs, thrown away when it is over; what is counted stands in the database.
VISITS_DIR = SHOP_DATA / "visits"
# What pages rest on, seen by all processes (shop/kept), and the memory that each process gives to kept pages.
STAMPS_DIR = SHOP_DATA / "stamps"
MAX_KEPT_BYTES = environment.whole("SHOP_MAX_KEPT_MB", 32) * 1024 * 1024
MAX_PICTURE_BYTES = environment.whole("SHOP_MAX_PICTURE_MB", 60) * 1024 * 1024
MAX_PAPER_BYTES = environment.whole("SHOP_MAX_PAPER_MB", 40) * 1024 * 1024
MAX_RECORDING_BYTES = environment.whole("SHOP_MAX_RECORDING_MB", 1000) * 1024 * 1024
MAX_PICTURE_PIXELS = environment.whole("SHOP_MAX_PICTURE_MEGAPIXELS", 60) * 1_000_000
DATA_UPLOAD_MAX_NUMBER_FILES = 200
DATA_UPLOAD_MAX_NUMBER_FIELDS = 4000

JOB_LEASE_SECONDS = environment.whole("SHOP_JOB_LEASE_SECONDS", 30)

EMAIL_HOST = environment.text("SHOP_MAIL_HOST")
EMAIL_PORT = environment.whole("SHOP_MAIL_PORT", 587)
EMAIL_HOST_USER = environment.text("SHOP_MAIL_USER")
EMAIL_HOST_PASSWORD = environment.text("SHOP_MAIL_PASSWORD")
# Port 465 speaks TLS from the first byte (RFC 8314); at any other the server is asked to begin with it.
EMAIL_USE_SSL = EMAIL_PORT == 465 and environment.flag("SHOP_MAIL_TLS", default=True)
EMAIL_USE_TLS = EMAIL_PORT != 465 and environment.flag("SHOP_MAIL_TLS", default=True)
EMAIL_TIMEOUT = 30
# Whether the server keeps mail for desk+word@… with that for desk@…: answers then name their thread.
MAIL_PLUS = environment.flag("SHOP_MAIL_PLUS", default=True)
# The mailbox that is read: by IMAP, or as a maildir on this machine (inquiries/mail/fetching.py).
INBOX_HOST = environment.text("SHOP_INBOX_HOST")
INBOX_TLS = environment.flag("SHOP_INBOX_TLS", default=True)
INBOX_PORT = environment.whole("SHOP_INBOX_PORT", 993 if INBOX_TLS else 143)
INBOX_USER = environment.text("SHOP_INBOX_USER")
INBOX_PASSWORD = environment.text("SHOP_INBOX_PASSWORD")
INBOX_FOLDER = environment.text("SHOP_INBOX_FOLDER", "INBOX")
INBOX_MAILDIR = environment.text("SHOP_INBOX_MAILDIR")
if SHOP_MODE == "demo" and not EMAIL_HOST:
    EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    EMAIL_FILE_PATH = SHOP_DATA / "mail"

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
