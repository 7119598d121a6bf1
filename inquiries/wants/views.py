"""The public side of a wish."""

from datetime import datetime, timedelta

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.public.depends import of_shop
from inquiries.threads.views import client_address
from inquiries.wants.actions import remember_want
from inquiries.wants.forms import WantForm
from shop.kept.pages import kept
from shop.limits.actions import within_limit
from shop.own_pages import from_own_pages
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
    if request.method != "POST":
        return _shown(request, WantForm(at=now))
    form = WantForm(request.POST, at=now)
    if form.caught or (form.is_valid() and _taken_down(request, form, at=now)):
        return redirect("want-kept")
    return _shown(request, form)


def _taken_down(request: HttpRequest, form: WantForm, *, at: datetime) -> bool:
    if not within_limit("want", client_address(request), most=MOST, every=WINDOW, at=at):
        form.add_error(None, TOO_MANY)
        return False
    said = {name: str(form.cleaned_data[name]) for name in ("name", "email", "sought", "narrowing")}
    with in_own():
        remember_want(**said, at=at)
    return True


def _shown(request: HttpRequest, form: WantForm) -> HttpResponse:
    return render(request, "public/want.html", {"form": form})


@require_safe
@kept(depends_on=of_shop)
def want_kept(request: HttpRequest) -> HttpResponse:
    """Thanks, the same for everybody."""
    return render(request, "public/want_kept.html")
