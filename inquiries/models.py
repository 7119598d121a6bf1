"""Gathers the rooms' models, so that Django finds them."""

from inquiries.answering.models import PictureLink, SavedPhrase
from inquiries.borders.models import BorderCheck, BorderRule, RetiredRule
from inquiries.cash.models import CashLimit
from inquiries.mail.models import Attachment, MailFolder, ReceivedMail
from inquiries.offers.models import Offer, OfferEnd
from inquiries.papers.models import Receipt
from inquiries.people.models import (
    Contact,
    Merge,
    NotTheSame,
    OtherAddress,
    OwnedPiece,
    PostalAddress,
    Want,
)
from inquiries.sales.models import Clearing, Hold, LedgerRow, Payout, Sale
from inquiries.search.models import WordOfThread, WrittenWord
from inquiries.shipping.models import CarrierRule, Delivery, Shipment
from inquiries.tax.models import TaxPolicy, TaxRate
from inquiries.threads.models import Inquiry, Message
from inquiries.wants.models import Call, FirstCall

__all__ = [
    "Attachment",
    "BorderCheck",
    "BorderRule",
    "Call",
    "CarrierRule",
    "CashLimit",
    "Clearing",
    "Contact",
    "Delivery",
    "FirstCall",
    "Hold",
    "Inquiry",
    "LedgerRow",
    "MailFolder",
    "Merge",
    "Message",
    "NotTheSame",
    "Offer",
    "OfferEnd",
    "OtherAddress",
    "OwnedPiece",
    "Payout",
    "PictureLink",
    "PostalAddress",
    "Receipt",
    "ReceivedMail",
    "RetiredRule",
    "Sale",
    "SavedPhrase",
    "Shipment",
    "TaxPolicy",
    "TaxRate",
    "Want",
    "WordOfThread",
    "WrittenWord",
]
