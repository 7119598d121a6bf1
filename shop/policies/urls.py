"""Addresses of this room."""

from django.urls import path

from shop.policies import views

urlpatterns = [
    path("shop/policies/", views.policies, name="policies"),
    path("shop/policies/new/", views.policy_new, name="policy-new"),
]
