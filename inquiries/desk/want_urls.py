"""Addresses of wishes and first calls at the desk."""

from django.urls import path

from inquiries.desk import first_call_views, want_views

urlpatterns = [
    path("wants/", want_views.wants, name="wants"),
    path("wants/new/", want_views.want_new, name="want-new"),
    path("wants/<int:want>/done/", want_views.want_done, name="want-done"),
    path("stock/<int:stock>/first-call/", first_call_views.first_call, name="first-call"),
    path("first-calls/<int:first>/end/", first_call_views.first_call_end, name="first-call-end"),
    path("calls/<int:call>/tell/", first_call_views.call_tell, name="call-tell"),
    path("calls/<int:call>/told/", first_call_views.call_told, name="call-told"),
    path("calls/<int:call>/said/", first_call_views.call_said, name="call-said"),
    path("calls/<int:call>/pass/", first_call_views.call_pass, name="call-pass"),
]
