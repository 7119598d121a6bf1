"""Addresses of this room."""

from django.urls import path

from inquiries.borders import views

urlpatterns = [
    path("stock/<int:stock>/borders/", views.border_check, name="border-check"),
    path("sales/<str:sale>/borders/", views.sale_border_check, name="sale-border-check"),
    path("borders/checks/<int:check>/", views.kept, name="border-check-kept"),
    path("borders/rules/", views.rules, name="border-rules"),
    path("borders/rules/add/", views.rule_add, name="border-rule-add"),
    path("borders/rules/<int:rule>/retire/", views.rule_retire, name="border-rule-retire"),
]
