"""The root urls: wiring only."""

from django.urls import include, path

urlpatterns = [
    path("", include("catalog.public.urls")),
    path("", include("catalog.pictures.urls")),
    path("", include("catalog.recordings.urls")),
    path("", include("inquiries.threads.urls")),
    path("", include("inquiries.people.urls")),
    path("desk/", include("shop.staff.urls")),
    path("desk/", include("shop.profile.urls")),
    path("desk/", include("catalog.desk.urls")),
    path("desk/", include("inquiries.desk.urls")),
]
