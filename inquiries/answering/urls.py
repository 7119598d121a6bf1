"""The page of a private picture link, in each language."""

from django.urls import path

from inquiries.answering import views

urlpatterns = [path("pictures-for-you/<str:token>/", views.pictures_for_you, name="pictures-for-you")]
