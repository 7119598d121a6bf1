"""The address of the report that goes with a listing: a paper, in the one language of papers."""

from django.urls import path

from catalog.report.views import listing_report

urlpatterns = [
    path("instruments/<int:stock>-<slug:slug>/report.pdf", listing_report, name="listing-report"),
]
