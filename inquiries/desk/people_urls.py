"""Addresses of the people, at the desk."""

from django.urls import path

from inquiries.desk import data_views, mail_views, merge_views, people_views

urlpatterns = [
    path("people/", people_views.people, name="people"),
    path("people/alike/", merge_views.alike, name="people-alike"),
    path("people/<int:contact>/", people_views.contact, name="contact"),
    path("people/<int:contact>/e-mail/", people_views.email_add, name="contact-email"),
    path("people/<int:contact>/place/", people_views.place_add, name="contact-place"),
    path("people/<int:contact>/owns/", people_views.owned_add, name="contact-owns"),
    path("people/<int:contact>/merge/<int:other>/", merge_views.contact_merge, name="contact-merge"),
    path("people/<int:contact>/apart/<int:other>/", merge_views.contact_apart, name="contact-apart"),
    path("people/<int:contact>/data.zip", data_views.contact_data, name="contact-data"),
    path("people/<int:contact>/erase/", data_views.contact_erase, name="contact-erase"),
    path("people/e-mail/of-mail/<int:mail>/", mail_views.mail_theirs, name="mail-theirs"),
    path("people/e-mail/<int:address>/first/", people_views.email_first, name="email-first"),
    path("people/e-mail/<int:address>/remove/", people_views.email_remove, name="email-remove"),
    path("people/places/<int:place>/", people_views.place, name="place"),
    path("people/owned/<int:owned>/remove/", people_views.owned_remove, name="owned-remove"),
    path("people/merges/<int:merge>/undo/", merge_views.merge_undo, name="merge-undo"),
]
