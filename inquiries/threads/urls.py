"""Addresses of the public ask form."""

from django.urls import path

from inquiries.threads import views

urlpatterns = [
    path("instruments/<int:stock>/ask/", views.ask, name="ask"),
    path("asked/", views.asked, name="asked"),
]
