"""The addresses in mails to somebody who seeks: signed, so that nobody can make one up, and good for one thing each."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.core import signing
from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import get_language, override

CONFIRM, UNSUBSCRIBE = "inquiries.wants.confirm", "inquiries.wants.unsubscribe"
ONE_CLICK = {"List-Unsubscribe": "One-Click"}  # the body of a one-click request (RFC 8058, section 3.2)


@dataclass(frozen=True)
class Links:
    """The addresses of a wish as they stand in a mail: whole, and in the language of whoever made the wish."""

    absolute: Callable[[str], str]
    language: str = "en"

    def confirm(self, want: int) -> str:
        """Where a wish is confirmed."""
        return self._address("want-confirm", token_for(want, CONFIRM))

    def unsubscribe(self, want: int) -> str:
        """Where the mail about a wish is ended."""
        return self._address("want-unsubscribe", token_for(want, UNSUBSCRIBE))

    def _address(self, name: str, token: str) -> str:
        with override(self.language):
            return self.absolute(reverse(name, args=[token]))


def links_from(request: HttpRequest) -> Links:
    """Addresses of the site on which this was asked."""
    return Links(request.build_absolute_uri, get_language() or "en")


def token_for(want: int, what: str) -> str:
    """The end of an address, for one wish and one thing to be done with it."""
    return _signer(what).sign(str(want))


def want_of(token: str, what: str) -> int | None:
    """The number of the wish; None for a token that we did not make, or made for something else."""
    try:
        return int(_signer(what).unsign(token))
    except (signing.BadSignature, ValueError):
        return None


def unsubscribe_headers(address: str) -> Mapping[str, str]:
    """The headings that let a mail program end the mail at one press.

    One-click needs an https address (RFC 8058, section 3.1); a shop that is not served by https yet, as while it is
    tried out, names the address alone (RFC 2369, section 3.2).
    """
    named = {"List-Unsubscribe": f"<{address}>"}
    if not address.startswith("https://"):
        return named
    return {**named, "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"}


def _signer(what: str) -> signing.Signer:
    return signing.Signer(salt=what, sep="~")
