"""Log in, log out, and too many tries."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def locked_out(request: HttpRequest, credentials: Any = None, *args: Any, **kwargs: Any) -> HttpResponse:
    """Say that this log-in is closed for a while (called by the throttle)."""
    return render(request, "desk/locked_out.html", status=429)
