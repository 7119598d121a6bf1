"""The shop's addresses, and one that answers “ok” and does nothing else."""

from django.http import HttpRequest, HttpResponse
from django.urls import path

from shop.urls import urlpatterns as of_the_shop


def trivial(request: HttpRequest) -> HttpResponse:
    """Nothing but an answer."""
    return HttpResponse("ok", headers={"Content-Length": "2"})


urlpatterns = [path("trivial/", trivial), *of_the_shop]
