"""The root urls: wiring only."""

from django.conf.urls.i18n import i18n_patterns
from django.urls import include, path

# The pages that people read stand at one address in each language (shop/languages); all else has one for all.
urlpatterns = [
    *i18n_patterns(
        path("", include("catalog.public.urls")),
        path("", include("inquiries.threads.urls")),
        path("", include("inquiries.wants.urls")),
        path("", include("inquiries.answering.urls")),
        prefix_default_language=False,
    ),
    path("", include("catalog.public.machines.urls")),
    path("", include("catalog.report.urls")),
    path("", include("catalog.pictures.urls")),
    path("", include("inquiries.answering.picture_urls")),
    path("", include("catalog.recordings.urls")),
    path("desk/", include("shop.staff.urls")),
    path("desk/", include("shop.profile.urls")),
    path("desk/", include("shop.hours.urls")),
    path("desk/", include("shop.policies.urls")),
    path("desk/", include("catalog.desk.urls")),
    path("desk/", include("inquiries.borders.urls")),
    path("desk/", include("inquiries.desk.urls")),
    path("desk/", include("inquiries.tax.urls")),
    path("desk/", include("inquiries.cash.urls")),
    path("desk/", include("inquiries.shipping.urls")),
    path("desk/", include("inquiries.papers.urls")),
    path("desk/", include("inquiries.stockbook.urls")),
    path("desk/", include("inquiries.desk.answering_urls")),
]
