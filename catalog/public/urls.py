"""Addresses of the public pages."""

from django.urls import path

from catalog.public import maker_views, views
from catalog.public.archive_views import sold
from catalog.public.machines import views as machines
from catalog.report.views import listing_report
from catalog.search.views import catalogue

urlpatterns = [
    path("", views.front, name="front"),
    path("instruments/", catalogue, name="catalogue"),
    path("instruments/<int:stock>-<slug:slug>/", views.listing_page, name="listing"),
    path("instruments/<int:stock>-<slug:slug>/report.pdf", listing_report, name="listing-report"),
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
    path("feed.atom", machines.newly_listed, name="feed"),
    path("robots.txt", machines.robots, name="robots"),
    path("sitemap.xml", machines.sitemap, name="sitemap"),
    path("sitemap-<int:number>.xml", machines.sitemap_file, name="sitemap-file"),
]
