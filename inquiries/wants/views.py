"""The public side of a wish: made, confirmed, and its mail ended."""

from datetime import datetime, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from catalog.public.depends import of_shop
from inquiries.people.models import Want
from inquiries.threads.views import client_address
from inquiries.wants.actions import confirm_want, remember_want, unsubscribe
from inquiries.wants.forms import WantForm
from inquiries.wants.links import CONFIRM, ONE_CLICK, UNSUBSCRIBE, links_from, want_of
from shop.kept.pages import kept
from shop.limits.actions import within_limit
from shop.own_pages import from_own_pages
from shop.profile.queries import the_shop
from shop.wording import gettext_lazy as _
from shop.wording import in_own

MOST = 8  # wishes from one address in one hour
WINDOW = timedelta(hours=1)

TOO_MANY = _(
    "Many wishes have come from your connection within the hour. "
    "What you wrote is kept below: please try again later, or telephone or write to us."
)


@require_http_methods(["GET", "HEAD", "POST"])
@from_own_pages
def want(request: HttpRequest) -> HttpResponseBase:
    """Take a wish down. A robot that fills in the hidden field is thanked, and nothing is kept."""
    now = timezone.now()
    known: dict[str, Any] = {"at": now, "today": timezone.localdate(now), "currency": the_shop().currency}
    if request.method != "POST":
        return _shown(request, WantForm(narrowing=request.GET.urlencode(), whole=True, **known))
    form = WantForm(request.POST, **known)
    if form.caught or (form.is_valid() and _taken_down(request, form, at=now)):
        return redirect("want-kept")
    return _shown(request, form)


def _taken_down(request: HttpRequest, form: WantForm, *, at: datetime) -> bool:
    if not within_limit("want", client_address(request), most=MOST, every=WINDOW, at=at):
        form.add_error(None, TOO_MANY)
        return False
    said: dict[str, Any] = {
        name: form.cleaned_data[name] for name in ("name", "email", "sought", "narrowing")
    }
    links, stated = links_from(request), form.stated
    with in_own():
        remember_want(**said, stated=stated, links=links, at=at)
    return True


def _shown(request: HttpRequest, form: WantForm) -> HttpResponse:
    return render(request, "public/want.html", {"form": form})


@require_safe
@kept(depends_on=of_shop)
def want_kept(request: HttpRequest) -> HttpResponse:
    """Thanks, the same for everybody."""
    return render(request, "public/want_kept.html")


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@from_own_pages
def want_confirm(request: HttpRequest, token: str) -> HttpResponse:
    """Where the mail leads: one button. Opening the page confirms nothing, since machines open it too."""
    found = _want(token, CONFIRM)
    if request.method == "POST":
        with in_own():
            confirm_want(found, at=timezone.now())
        found.refresh_from_db()
    return _page(request, "public/want_confirm.html", found)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@csrf_exempt
def want_unsubscribe(request: HttpRequest, token: str) -> HttpResponse:
    """End the mail about a wish by a press, here or in a mail program (RFC 8058).

    A mail program sends the one pair of words, without a cookie and from no page of ours: the signed address alone
    says which wish is meant, so nothing else is asked for. It is answered at once and never led elsewhere.
    """
    found = _want(token, UNSUBSCRIBE)
    if request.method != "POST":
        return _page(request, "public/want_unsubscribe.html", found)
    if any(request.POST.get(name) != value for name, value in ONE_CLICK.items()):
        return _page(request, "public/want_unsubscribe.html", found, status=400)
    with in_own():
        unsubscribe(found, at=timezone.now())
    found.refresh_from_db()
    return _page(request, "public/want_unsubscribe.html", found)


def _want(token: str, what: str) -> Want:
    return get_object_or_404(Want.objects.select_related("contact"), pk=want_of(token, what))


def _page(request: HttpRequest, template: str, want: Want, *, status: int = 200) -> HttpResponse:
    """What a signed address shows: the day of the wish, and how it stands; no word of it, nothing of the person."""
    shown = {
        "day": want.asked_at,
        "confirmed": want.confirmed_at is not None,
        "ended": want.unsubscribed_at is not None,
        "laid_aside": want.done_at is not None,
    }
    return render(request, template, {"wish": shown}, status=status)
