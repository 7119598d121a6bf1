"""Addresses of prints."""

from django.urls import path

from catalog.pictures.views import picture, picture_detail

urlpatterns = [
    path("pictures/<str:token>/<int:width>.<str:suffix>", picture, name="picture"),
    path("pictures/<str:token>/detail.webp", picture_detail, name="picture-detail"),
]
