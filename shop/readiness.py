"""What a real shop must have set before it opens; each fault is a sentence that says what to do."""

from django.conf import settings


def faults() -> list[str]:
    """Sentences for every needed setting that is missing; empty when the shop may open."""
    found = []
    if len(settings.SECRET_KEY) < 40:
        found.append("SHOP_SECRET_KEY is missing or short. Set it to at least 40 random characters.")
    if not settings.ALLOWED_HOSTS:
        found.append("SHOP_HOSTS is missing. Name the host names of the site, with commas between them.")
    if not settings.EMAIL_HOST:
        found.append("SHOP_MAIL_HOST is missing. Name the server that sends your mail.")
    return found
