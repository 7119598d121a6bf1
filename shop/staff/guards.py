"""The wall at the desk: who may open a page. Every desk view wears one of these two."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, cast

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase

from shop.staff.models import User

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]


class DeskRequest(HttpRequest):
    """A request by a member of staff."""

    user: User


def desk(view: Callable[Concatenate[DeskRequest, P], HttpResponseBase]) -> View[P]:
    """For the owner and the helpers; a stranger is sent to the log-in. Nothing of it may be kept by a cache."""
    return _guarded(view, owner=False)


def owner_only(view: Callable[Concatenate[DeskRequest, P], HttpResponseBase]) -> View[P]:
    """For the owner alone; a helper is refused, a stranger is sent to the log-in."""
    return _guarded(view, owner=True)


def _guarded(view: Callable[Concatenate[DeskRequest, P], HttpResponseBase], *, owner: bool) -> View[P]:
    @wraps(view)
    def guarded(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        if owner and not request.user.is_owner:
            raise PermissionDenied("Only the owner opens this page.")
        response = view(cast(DeskRequest, request), *args, **kwargs)
        response["Cache-Control"] = "private, no-store"
        return response

    guarded.guard = "owner" if owner else "desk"  # type: ignore[attr-defined]
    return cast(View[P], guarded)
