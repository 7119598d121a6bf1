"""Log in, log out, too many tries, and who works here."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from shop.refusal import Refused
from shop.staff.actions import add_member, change_member
from shop.staff.forms import LogInForm, MemberForm, NewMemberForm
from shop.staff.guards import DeskRequest, owner_only
from shop.staff.models import User

log_in = LoginView.as_view(
    template_name="desk/log_in.html", authentication_form=LogInForm, redirect_authenticated_user=True
)
log_out = LogoutView.as_view()


def locked_out(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
    """Say that this log-in is closed for a while (called by the throttle)."""
    return render(request, "desk/locked_out.html", status=429)


@require_safe
@owner_only
def staff(request: DeskRequest) -> HttpResponse:
    """Everybody who has a log-in."""
    return render(
        request, "desk/staff/list.html", {"members": User.objects.order_by("-is_active", "last_name")}
    )


@require_http_methods(["GET", "POST"])
@owner_only
def new_member(request: DeskRequest) -> HttpResponse:
    """Give somebody a log-in."""
    form = NewMemberForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        member = add_member(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, f"{member} can log in now.")
        return redirect("staff")
    return render(request, "desk/staff/member.html", {"form": form, "title": "New log-in"})


@require_http_methods(["GET", "POST"])
@owner_only
def member(request: DeskRequest, username: str) -> HttpResponse:
    """Change somebody's name or role, or close their log-in."""
    found = get_object_or_404(User, username=username)
    title = str(found)
    form = MemberForm(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        try:
            change_member(found, form.changed_data, by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"{found}: saved.")
            return redirect("staff")
    return render(request, "desk/staff/member.html", {"form": form, "title": title})
