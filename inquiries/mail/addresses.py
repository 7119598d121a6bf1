"""The signed address that answers come back to: the shop's own, with a short word that names the thread.

The word is made of lower-case letters and digits alone, since mail servers may write what stands before the @ in
their own way; it is the number of the thread, and a keyed hash of it that nobody can make who has not our key.
"""

import hmac
import unicodedata
from base64 import b32encode

from django.conf import settings
from django.utils.crypto import salted_hmac

SALT = "inquiries.mail.addresses"
HASH_LETTERS = 16  # five bits each: 80 bits
LONGEST_LOCAL = 64  # RFC 5321, section 4.5.3.1.1
DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"


def reply_address(inquiry_pk: int, shop_email: str) -> str:
    """The address that an answer in this thread is sent to; the shop's plain one where its server knows no “+”."""
    local, _, domain = shop_email.rpartition("@")
    signed = f"{local}+{_token(inquiry_pk, settings.SECRET_KEY)}"
    if not settings.MAIL_PLUS or len(signed) > LONGEST_LOCAL:
        return shop_email
    return f"{signed}@{domain}"


def thread_of(address: str) -> int | None:
    """The thread that a signed address names; None for an address that we did not sign."""
    local = address.strip().strip("<>").rpartition("@")[0].lower()
    token = local.rpartition("+")[2] if "+" in local else ""
    number = _number(token[:-HASH_LETTERS])
    if number is None:
        return None
    keys = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    signed = [hmac.compare_digest(_token(number, key).encode(), token.encode()) for key in keys]
    return number if any(signed) else None


def in_ascii(address: str) -> str:
    """The address as every mail server takes it: a domain in another script is written as IDNA 2008 has it.

    Raises ValueError when letters beyond ASCII stand before the @: not every server on the way takes those.
    """
    local, _, domain = address.strip().rpartition("@")
    if not local.isascii():
        raise ValueError("letters beyond ASCII before the @")
    return f"{local}@{'.'.join(_label(label) for label in domain.split('.'))}"


def _label(label: str) -> str:
    if label.isascii():
        return label
    return "xn--" + unicodedata.normalize("NFC", label.lower()).encode("punycode").decode("ascii")


def _token(number: int, key: str | bytes) -> str:
    digest = salted_hmac(SALT, str(number), secret=key, algorithm="sha256").digest()
    return _digits(number) + b32encode(digest).decode("ascii").lower()[:HASH_LETTERS]


def _digits(number: int) -> str:
    """The number in base 36."""
    written = ""
    while number:
        number, rest = divmod(number, 36)
        written = DIGITS[rest] + written
    return written


def _number(digits: str) -> int | None:
    """The number that stands in base 36, of a size that a thread has."""
    if not 0 < len(digits) <= 12 or set(digits) - set(DIGITS):
        return None
    return int(digits, 36)
