"""Addresses of this room."""

from django.urls import path

from inquiries.tax import views

urlpatterns = [
    path("shop/tax/", views.tax, name="tax"),
    path("shop/tax/rates/new/", views.tax_rate_new, name="tax-rate-new"),
    path("shop/tax/policies/new/", views.tax_policy_new, name="tax-policy-new"),
]
