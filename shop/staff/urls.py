"""Addresses of log-in and staff."""

from django.urls import path

from shop.staff import views

urlpatterns = [
    path("log-in/", views.log_in, name="log-in"),
    path("log-out/", views.log_out, name="log-out"),
    path("staff/", views.staff, name="staff"),
    path("staff/new/", views.new_member, name="staff-new"),
    path("staff/<str:username>/", views.member, name="staff-member"),
]
