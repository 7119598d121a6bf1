"""One person: how they are reached, and what they asked for and bought."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from inquiries.people.actions import change_contact
from inquiries.people.forms import ContactForm
from inquiries.people.models import Contact
from inquiries.sales.models import Sale
from inquiries.threads.models import Inquiry
from inquiries.threads.queries import in_order_of_waiting
from shop.history.queries import history_of
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk

CHANGES = 40


@require_http_methods(["GET", "POST"])
@desk
def contact(request: DeskRequest, contact: int) -> HttpResponse:
    """Mend a name, an address, a telephone number."""
    found = get_object_or_404(Contact, pk=contact)
    name, form = found.name, ContactForm(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        try:
            change_contact(found, form.cleaned_data, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error("email", refused.message)
        else:
            messages.success(request, f"What is known of {found} is saved.")
            return redirect("contact", contact)
    context = {
        "name": name,
        "form": form,
        "inquiries": in_order_of_waiting(Inquiry.objects.filter(contact=contact)),
        "sales": Sale.objects.filter(contact=contact).select_related(
            "instrument__kind", "instrument__maker", "instrument__model__maker"
        ),
        "wants": found.wants.all(),
        "history": history_of(found)[:CHANGES],
    }
    return render(request, "desk/people/contact.html", context)
