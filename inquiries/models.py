"""Gathers the rooms' models, so that Django finds them."""

from inquiries.answering.models import PictureLink, SavedPhrase
from inquiries.audit.models import Audit
from inquiries.borders.models import BorderCheck, BorderRule, RetiredRule
from inquiries.cash.models import CashLimit, CashReport
from inquiries.credit.models import CreditRow, TradeIn
from inquiries.instalments.models import Instalment, Plan
from inquiries.mail.models import Attachment, MailFolder, ReceivedMail
from inquiries.offers.models import Offer, OfferEnd
from inquiries.papers.models import IssuedPaper, PaperFile
from inquiries.people.models import (
    Contact,
    Merge,
    NotTheSame,
    OtherAddress,
    OwnedPiece,
    PostalAddress,
    Want,
)
from inquiries.returns.models import Inspection, InspectionLine, ReturnCall, ReturnDropped
from inquiries.sales.hold_models import Hold, HoldNotice
from inquiries.sales.ledger_models import BankStep, Clearing, Exchange, LedgerRow, Payout, Posting
from inquiries.sales.models import Sale
from inquiries.search.models import WordOfThread, WrittenWord
from inquiries.shipping.models import CarrierRule, Delivery, Loss, ParcelPicture, Shipment
from inquiries.tax.models import TaxBooking, TaxPolicy, TaxRate
from inquiries.threads.models import Inquiry, Message
from inquiries.wants.models import Call, FirstCall

__all__ = [
    "Attachment",
    "Audit",
    "BankStep",
    "BorderCheck",
    "BorderRule",
    "Call",
    "CarrierRule",
    "CashLimit",
    "CashReport",
    "Clearing",
    "Contact",
    "CreditRow",
    "Delivery",
    "Exchange",
    "FirstCall",
    "Hold",
    "HoldNotice",
    "Inquiry",
    "Inspection",
    "InspectionLine",
    "Instalment",
    "IssuedPaper",
    "LedgerRow",
    "Loss",
    "MailFolder",
    "Merge",
    "Message",
    "NotTheSame",
    "Offer",
    "OfferEnd",
    "OtherAddress",
    "OwnedPiece",
    "PaperFile",
    "ParcelPicture",
    "Payout",
    "PictureLink",
    "Plan",
    "PostalAddress",
    "Posting",
    "ReceivedMail",
    "RetiredRule",
    "ReturnCall",
    "ReturnDropped",
    "Sale",
    "SavedPhrase",
    "Shipment",
    "TaxBooking",
    "TaxPolicy",
    "TaxRate",
    "TradeIn",
    "Want",
    "WordOfThread",
    "WrittenWord",
]
