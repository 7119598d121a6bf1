"""Each answer is made in the language of its address, and in no other."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase
from django.utils import translation

from shop.languages.addresses import language_of


class LanguageOfAddress:
    """Middleware: outside of all that reads an address or says a word, inside of the kept pages.

    A page is kept by its address, so the same words are never given for another language. The desk and whatever comes
    after this answer in the same process are in the first language again.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        with translation.override(language_of(request.path_info)):
            return self.get_response(request)
