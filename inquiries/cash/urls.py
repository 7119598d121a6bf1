"""Addresses of this room."""

from django.urls import path

from inquiries.cash import views

urlpatterns = [
    path("shop/cash/", views.cash_limits, name="cash-limits"),
    path("cash-reports/<int:row>/filed/", views.cash_report_filed, name="cash-report-filed"),
    path("shop/cash/new/", views.cash_limit_new, name="cash-limit-new"),
]
