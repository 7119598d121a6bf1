"""What people seek, at the desk."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inquiries.desk.actions import Caller, want_of_caller
from inquiries.desk.want_forms import CallerWantForm, PersonWantForm
from inquiries.people.models import Contact, Want
from inquiries.people.queries import living
from inquiries.wants.actions import lay_want_aside, take_down
from inquiries.wants.queries import open_wants, stated
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest, desk

PAGE_LENGTH = 50


@require_safe
@desk
def wants(request: DeskRequest) -> HttpResponse:
    """The open wishes, the latest first; each leads to its person, and to what answers to it now."""
    shop, today = the_shop(), timezone.localdate()
    page = Paginator(open_wants(), PAGE_LENGTH).get_page(request.GET.get("page"))
    wishes = [(want, stated(want, shop.currency)) for want in page]
    return render(request, "desk/wants/list.html", {"page_obj": page, "wishes": wishes, "today": today})


@require_http_methods(["GET", "POST"])
@desk
def want_new(request: DeskRequest) -> HttpResponse:
    """Take down what somebody seeks who told us; ?person= for one who is known."""
    contact = _person(request.GET.get("person", ""))
    today, currency = timezone.localdate(), the_shop().currency
    form_class = PersonWantForm if contact else CallerWantForm
    form = form_class(request.POST or None, today=today, currency=currency)
    if request.method == "POST" and form.is_valid():
        given, at = form.cleaned_data, timezone.now()
        if contact is not None:
            want = take_down(contact, given["sought"], form.stated, by=request.user, at=at)
        else:
            caller = Caller(given["name"], given["email"], given["telephone"])
            want = want_of_caller(caller, given["sought"], form.stated, by=request.user, at=at)
        messages.success(request, f"The wish of {want.contact} is written down.")
        return redirect("contact", want.contact_id) if contact else redirect("wants")
    return render(request, "desk/wants/new.html", {"form": form, "contact": contact})


def _person(typed: str) -> Contact | None:
    known = typed.isascii() and typed.isdecimal() and len(typed) < 12
    return get_object_or_404(living(), pk=int(typed)) if known else None


@require_POST
@desk
def want_done(request: DeskRequest, want: int) -> HttpResponse:
    """It was found, or is sought no longer. Back to where the button stood."""
    found = get_object_or_404(Want.objects.select_related("contact"), pk=want)
    lay_want_aside(found, by=request.user, at=timezone.now())
    messages.success(request, f"The wish of {found.contact} is done.")
    return redirect("contact", found.contact_id) if "from-person" in request.POST else redirect("wants")
