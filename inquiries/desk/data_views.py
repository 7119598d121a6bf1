"""What a person may ask for of their data: a file of it, and to be erased. For the owner alone."""

from tempfile import TemporaryFile

from django.contrib import messages
from django.http import FileResponse, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from inquiries.people.erase_actions import erase
from inquiries.people.erasing import plan
from inquiries.people.export import write_export
from inquiries.people.forms import ErasedForm
from inquiries.people.models import Contact
from shop.history.actions import record
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, owner_only


@require_safe
@owner_only
def contact_data(request: DeskRequest, contact: int) -> HttpResponseBase:
    """Everything kept of one person, as a file to hand over."""
    found, at = get_object_or_404(Contact, pk=contact), timezone.localtime()
    out = TemporaryFile()  # noqa: SIM115 - the answer closes it
    write_export(found, out, shop=the_shop().name, at=at)
    out.seek(0)
    record(found, "data handed out", by=request.user, at=at)
    return FileResponse(out, as_attachment=True, filename=f"data-of-person-{at:%Y-%m-%d}.zip")


@require_http_methods(["GET", "POST"])
@owner_only
def contact_erase(request: DeskRequest, contact: int) -> HttpResponse:
    """First what goes and what stays, with the reasons; then, pressed once more, it is done."""
    found = get_object_or_404(Contact, pk=contact)
    form = ErasedForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            erase(found, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, "What was known of this person is erased.")
            return redirect("contact", contact)
    context = {"contact": found, "plan": plan(found), "form": form}
    return render(request, "desk/people/erase.html", context)
