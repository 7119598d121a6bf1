"""Addresses of the public pages, each in every language; what programs read lies in `machines/urls.py`."""

from django.urls import path

from catalog.public import maker_views, views
from catalog.public.archive_views import sold
from catalog.public.machines import views as machines
from catalog.search.views import catalogue

urlpatterns = [
    path("", views.front, name="front"),
    path("instruments/", catalogue, name="catalogue"),
    path("instruments/<int:stock>-<slug:slug>/", views.listing_page, name="listing"),
    path(
        "instruments/<int:stock>-<slug:slug>/preview-<slug:mark>.jpg",
        machines.listing_preview,
        name="listing-preview",
    ),
    path("makers/", maker_views.makers_list, name="makers-list"),
    path("makers/<slug:maker_slug>/", maker_views.maker_page, name="maker-page"),
    path("makers/<slug:maker_slug>/<slug:model_slug>/", maker_views.model_page, name="model-page"),
    path("sold/", sold, name="sold"),
    path("about/", views.about, name="about"),
    path("terms/", views.terms, name="terms"),
]
