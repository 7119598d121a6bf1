"""Addresses of what goes into a reply."""

from django.urls import path

from inquiries.desk import answering_views as views

urlpatterns = [
    path("inquiries/<int:inquiry>/put-in/", views.inquiry_put_in, name="inquiry-put-in"),
    path("inquiries/<int:inquiry>/pictures/", views.inquiry_pictures, name="inquiry-pictures"),
    path("picture-links/<int:link>/take-back/", views.picture_link_take_back, name="picture-link-take-back"),
    path("phrases/", views.saved_phrases, name="phrases"),
    path("phrases/new/", views.phrase_new, name="phrase-new"),
    path("phrases/<int:phrase>/", views.phrase_change, name="phrase-change"),
    path("phrases/<int:phrase>/remove/", views.phrase_remove, name="phrase-remove"),
]
