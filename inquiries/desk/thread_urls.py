"""Addresses of the search over letters, and of a thread as a file."""

from django.urls import path

from inquiries.desk import search_views
from inquiries.papers import thread_views

urlpatterns = [
    path("inquiries/search/", search_views.inquiry_search, name="inquiry-search"),
    path("inquiries/<int:inquiry>/thread.mbox", thread_views.thread_mbox, name="thread-mbox"),
    path("inquiries/<int:inquiry>/thread.pdf", thread_views.thread_pdf, name="thread-pdf"),
]
