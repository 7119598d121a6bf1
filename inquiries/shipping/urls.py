"""Addresses of this room."""

from django.urls import path

from inquiries.shipping import views

urlpatterns = [
    path("shop/carriers/", views.carrier_rules, name="carrier-rules"),
    path("shop/carriers/new/", views.carrier_rule_new, name="carrier-rule-new"),
    path("sales/<str:sale>/packing/", views.sale_packing, name="sale-packing"),
]
