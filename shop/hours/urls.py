"""Addresses of the opening hours."""

from django.urls import path

from shop.hours import views

urlpatterns = [
    path("shop/hours/", views.hours, name="hours"),
    path("shop/hours/closed/", views.closed_day_new, name="closed-day-new"),
    path("shop/hours/closed/<int:closed>/remove/", views.closed_day_remove, name="closed-day-remove"),
]
