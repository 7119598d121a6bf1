"""Addresses of the profile."""

from django.urls import path

from shop.profile.views import profile

urlpatterns = [path("shop/", profile, name="profile")]
