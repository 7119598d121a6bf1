"""The shop's profile at the desk."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from shop.history.queries import history_of
from shop.profile.actions import save_profile
from shop.profile.forms import ProfileForm
from shop.profile.queries import the_shop
from shop.staff.guards import DeskRequest, owner_only


@require_http_methods(["GET", "POST"])
@owner_only
def profile(request: DeskRequest) -> HttpResponse:
    """What the shop says of itself, and its terms."""
    shop = the_shop()
    form = ProfileForm(request.POST or None, instance=shop)
    if request.method == "POST" and form.is_valid():
        save_profile(form.instance, form.changed_data, by=request.user, at=timezone.now())
        messages.success(request, "The shop’s profile is saved.")
        return redirect("profile")
    return render(request, "desk/shop/profile.html", {"form": form, "history": history_of(shop)[:40]})
