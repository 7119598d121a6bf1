"""Gathers the rooms' models, so that Django finds them."""

from inquiries.papers.models import Receipt
from inquiries.people.models import Contact, Want
from inquiries.sales.models import Clearing, Hold, LedgerRow, Payout, Sale
from inquiries.shipping.models import Delivery, Shipment
from inquiries.threads.models import Inquiry, Message

__all__ = [
    "Clearing",
    "Contact",
    "Delivery",
    "Hold",
    "Inquiry",
    "LedgerRow",
    "Message",
    "Payout",
    "Receipt",
    "Sale",
    "Shipment",
    "Want",
]
