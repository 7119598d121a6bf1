"""Addresses of prints."""

from django.urls import path

from catalog.pictures.views import picture

urlpatterns = [path("pictures/<str:token>/<int:width>.<str:suffix>", picture, name="picture")]
