"""Addresses of this room, all at the desk."""

from django.urls import path

from inquiries.desk import paper_views
from inquiries.papers import views

urlpatterns = [
    path("sales/<str:sale>/papers/<str:kind>/", paper_views.paper_make, name="paper-make"),
    path("receipts/<str:receipt>/anew/", paper_views.receipt_anew, name="receipt-anew"),
    path("sales/<str:sale>/statement/", paper_views.statement_make, name="statement-make"),
    path("inquiries/<int:inquiry>/quotation/", paper_views.quotation_make, name="quotation-make"),
    path("papers/<str:issued>/version-<int:version>.pdf", views.issued_paper, name="issued-paper"),
    path(
        "statements/<str:issued>/version-<int:version>.pdf", views.issued_statement, name="issued-statement"
    ),
]
