"""The wording of the mail that the shop sends by itself."""

from inquiries.threads.models import Inquiry
from shop.profile.models import ShopProfile


def acknowledgement(inquiry: Inquiry, shop: ShopProfile) -> str:
    """The plain text that says a question has arrived."""
    return (
        f"Dear {inquiry.contact.name},\n\n"
        f"thank you for asking about {_named(inquiry)}. "
        "Your question has arrived and a person will answer it.\n\n"
        f"{shop.owner_name or shop.name}\n{shop.name}\n{shop.telephone}\n"
    ).rstrip() + "\n"


def _named(inquiry: Inquiry) -> str:
    piece = inquiry.instrument
    return f"our no. {piece.stock_id}, {piece.title}" if piece else f"“{inquiry.matter}”"
