"""The public side of a thread: asking about an instrument."""

from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.instruments.availability import Availability, annotated, availability_of
from catalog.models import Instrument
from catalog.public.depends import of_shop
from inquiries.threads.actions import receive_question
from inquiries.threads.forms import AskForm
from shop.kept.pages import kept
from shop.limits.actions import within_limit
from shop.own_pages import from_own_pages
from shop.wording import gettext_lazy as _
from shop.wording import in_own

MOST = 8  # questions from one address in one hour
WINDOW = timedelta(hours=1)
SAME_PRESS = timedelta(hours=24)

TOO_MANY = _(
    "Many questions have come from your connection within the hour. "
    "What you wrote is kept below: please try again later, or telephone or write to us."
)
GONE = _("This piece has been sold meanwhile, so your question was not sent. What you wrote is kept below.")


@require_http_methods(["GET", "HEAD", "POST"])
@from_own_pages
def ask(request: HttpRequest, stock: int) -> HttpResponseBase:
    """Take a question. A robot that fills in the hidden field is thanked, and nothing is kept."""
    now = timezone.now()
    public = annotated(Instrument.objects.public().named(), at=now)
    instrument = get_object_or_404(public, stock__number=stock)
    if request.method != "POST":
        gone = instrument.state == Instrument.State.SOLD
        return redirect(instrument) if gone else _shown(request, instrument, AskForm.empty(stock, at=now))
    form = AskForm(request.POST, stock=stock, at=now)
    if form.caught or (form.is_valid() and _taken_in(request, instrument, form, at=now)):
        return redirect("asked")
    return _shown(request, instrument, form)


def _taken_in(request: HttpRequest, instrument: Instrument, form: AskForm, *, at: datetime) -> bool:
    if instrument.state == Instrument.State.SOLD:
        form.add_error(None, GONE)
        return False
    if not within_limit("ask", client_address(request), most=MOST, every=WINDOW, at=at):
        form.add_error(None, TOO_MANY)
        return False
    _receive_once(instrument, form, at=at)
    return True


@transaction.atomic
def _receive_once(instrument: Instrument, form: AskForm, *, at: datetime) -> None:
    """A second press of the same form with the same words is the first one again."""
    said = {name: str(form.cleaned_data[name]) for name in ("name", "email", "telephone")}
    words = str(form.cleaned_data["message"])
    press = "\n".join([str(form.cleaned_data["shown"]), *said.values(), words])
    if within_limit("ask-press", press, most=1, every=SAME_PRESS, at=at):
        with in_own():  # what is kept and what is mailed; the question itself is as it was written
            receive_question(instrument, **said, text=words, at=at)


def _shown(request: HttpRequest, instrument: Instrument, form: AskForm) -> HttpResponse:
    context = {
        "form": form,
        "stock": instrument.stock_id,
        "title": instrument.title,
        "address": instrument.get_absolute_url(),
        "held": availability_of(instrument) == Availability.ON_HOLD,
        "sold": availability_of(instrument) == Availability.SOLD,
    }
    return render(request, "public/ask.html", context)


@require_safe
@kept(depends_on=of_shop)
def asked(request: HttpRequest) -> HttpResponse:
    """Thanks, the same for everybody."""
    return render(request, "public/asked.html")


def client_address(request: HttpRequest) -> str:
    """Who calls. Behind a proxy, the entry that the proxy itself added, the right-most, is the only true one."""
    if settings.BEHIND_PROXY:
        forwarded = request.headers.get("X-Forwarded-For", "").rpartition(",")[2].strip()
        if forwarded:
            return forwarded
    return str(request.META.get("REMOTE_ADDR", ""))
