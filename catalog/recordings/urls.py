"""Addresses of sound and film as they are played."""

from django.urls import path

from catalog.recordings import views

urlpatterns = [
    path("recordings/<str:token>/captions.vtt", views.captions, name="recording-captions"),
    path("recordings/<str:token>/chapters.vtt", views.chapters, name="recording-chapters"),
    path("recordings/<str:token>/poster.<str:suffix>", views.poster, name="recording-poster"),
    path("recordings/<str:token>.<str:suffix>", views.recording, name="recording"),
]
