"""Addresses of what programs read: one each, for all languages."""

from django.urls import path

from catalog.public.machines import views

urlpatterns = [
    path("feed.atom", views.newly_listed, name="feed"),
    path("robots.txt", views.robots, name="robots"),
    path("sitemap.xml", views.sitemap, name="sitemap"),
    path("sitemap-<int:number>.xml", views.sitemap_file, name="sitemap-file"),
]
