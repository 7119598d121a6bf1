"""Addresses of the public wish."""

from django.urls import path

from inquiries.wants import views

urlpatterns = [
    path("wanted/", views.want, name="want"),
    path("wanted/thanks/", views.want_kept, name="want-kept"),
    path("wanted/confirm/<str:token>/", views.want_confirm, name="want-confirm"),
    path("wanted/no-more-mail/<str:token>/", views.want_unsubscribe, name="want-unsubscribe"),
]
