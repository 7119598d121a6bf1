"""One person's data as a file to hand over: what is kept of them, as JSON and as text, with what they sent."""

import json
import zipfile
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import IO, Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import Q

from inquiries.credit.models import CreditRow, TradeIn
from inquiries.instalments.models import Instalment
from inquiries.mail.keeping import file_path, message_path
from inquiries.mail.models import Attachment, ReceivedMail
from inquiries.models import Call, Inquiry, IssuedPaper, LedgerRow, Message, Offer, Sale, Shipment
from inquiries.people.erasing import Traces, papers_of, quotations_of
from inquiries.people.models import Contact, OtherAddress, OwnedPiece, PostalAddress, Want
from inquiries.people.places import country_name, language_names
from inquiries.returns.models import ReturnCall
from inquiries.shipping.models import Delivery, Loss, ParcelPicture
from shop.history.models import Entry
from shop.money import Money

READ_ME = """What {shop} keeps of {name}, gathered on {day}.

person.json       the person, their addresses, what they own and seek, their threads, holds, offers, quotations and
                  sales with ledgers, parcels, receipts and papers, and the history of it all
messages/         what was said in each thread, as text
mail/             mail as it was received
attachments/      files that came with mail, under the name they came with

What is not in here, and why:

- What a piece cost the shop, the least it would take, its seller and the margin: this is about the piece and about
  others, not about this person.
- Who else asked for, held or bought the same piece: this is about other people.
- Who of the shop did what: the history says when and what, and leaves out which member of staff.
- Copies of the database made for safety: they hold the same, and are overwritten in their turn.
- Mail that lies at the provider of the mailbox: the shop's own account there has it.
- Signs of fraud pointed out beside a thread: they are worked out from the words each time and are kept nowhere.

This is general information and not legal advice. Before you hand the file over, make sure that whoever asks for it
is this person, and have a look at the private notes and at what the messages say of others.
"""
LEFT_OUT = {"by", "opened_by", "entry", "wire", "tries", "next_try_at", "token"}


def write_export(contact: Contact, out: IO[bytes], *, shop: str, at: datetime) -> None:
    """Write the file of one person."""
    traces = Traces(contact)
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("READ ME.txt", READ_ME.format(shop=shop, name=contact.name, day=f"{at:%-d %B %Y}"))
        said = json.dumps(gathered(traces), cls=DjangoJSONEncoder, ensure_ascii=False, indent=2)
        archive.writestr("person.json", said)
        for number, inquiry in enumerate(_threads(traces), 1):
            archive.writestr(f"messages/{number:03}.txt", _as_text(inquiry))
        for number, mail in enumerate(_mails(traces), 1):
            _put(archive, f"mail/{number:03}.eml", message_path(mail.sha256))
            for file in mail.attachments.all():
                place = f"attachments/{number:03}-{file.position}-{PurePosixPath(file.name).name}"
                _put(archive, place, file_path(file.sha256))


def gathered(traces: Traces) -> dict[str, Any]:
    """Everything kept of a person, as plain values under names for people."""
    return {
        "person": [
            _said(row)
            | {
                "country in words": country_name(row.country),
                "languages in words": language_names(row.languages),
            }
            for row in Contact.objects.filter(pk__in=traces.people)
        ],
        "other e-mail addresses": _all(traces.rows(OtherAddress)),
        "postal addresses": _all(traces.rows(PostalAddress)),
        "pieces owned": _all(traces.rows(OwnedPiece)),
        "seeks": _all(Want.objects.filter(contact__in=traces.people)),
        "first calls": _all(Call.objects.filter(want__in=traces.wants)),
        "threads": [
            _said(inquiry) | {"about": inquiry.about, "messages": _all(inquiry.messages.all())}
            for inquiry in _threads(traces)
        ],
        "offers": _all(Offer.objects.filter(inquiry__in=traces.threads.order_by().values("pk"))),
        "quotations": _all(quotations_of(traces)),
        "holds": [
            _said(hold) | {"piece": str(hold.instrument), "told": _all(hold.notices.all())}
            for hold in _named(traces.holds).prefetch_related("notices")
        ],
        "sales": [
            _sale(sale)
            for sale in traces.sales.select_related(
                "instrument__maker", "instrument__model__maker", "instrument__kind"
            )
        ],
        "mail": _all(_mails(traces)),
        "attachments": _all(Attachment.objects.filter(mail__in=_mails(traces).order_by().values("pk"))),
        "history": _all(Entry.objects.filter(about="contact", about_id__in=traces.people)),
    }


def _mails(traces: Traces) -> "models.QuerySet[ReceivedMail]":
    keys = Q(pk__in=traces.mails.order_by().values("pk")) | Q(
        pk__in=traces.kept_mails.order_by().values("pk")
    )
    return ReceivedMail.objects.filter(keys).order_by("received_at", "pk")


def _named(rows: "models.QuerySet[Any]") -> "models.QuerySet[Any]":
    return rows.select_related("instrument__kind", "instrument__maker", "instrument__model__maker")


def _threads(traces: Traces) -> "models.QuerySet[Inquiry]":
    return traces.threads.order_by("opened_at", "pk").select_related(
        "contact", "instrument__kind", "instrument__maker", "instrument__model__maker"
    )


def _sale(sale: Sale) -> dict[str, Any]:
    return _said(sale) | {
        "piece": str(sale.instrument),
        "ledger": _all(LedgerRow.objects.filter(sale=sale)),
        "parcels": _all(Shipment.objects.filter(sale=sale)),
        "deliveries": _all(Delivery.objects.filter(shipment__sale=sale)),
        "lost parcels": _all(Loss.objects.filter(shipment__sale=sale)),
        "photographs before sealing": _all(ParcelPicture.objects.filter(sale=sale)),
        "instalments": _all(Instalment.objects.filter(plan__sale=sale).select_related("plan")),
        "store credit": _all(CreditRow.objects.filter(row__sale=sale)),
        "given in trade": _all(TradeIn.objects.filter(row__sale=sale)),
        "said of a return": _all(ReturnCall.objects.filter(sale=sale)),
        "papers": _all(papers_of(IssuedPaper.objects.filter(sale=sale))),
    }


def _all(rows: Iterable[models.Model]) -> list[dict[str, Any]]:
    return [_said(row) for row in rows]


def _said(row: models.Model) -> dict[str, Any]:
    """A row by the names of its fields for people; choices in words; keys of other rows left out."""
    said: dict[str, Any] = {}
    for field in row._meta.concrete_fields:
        if field.name in LEFT_OUT or field.is_relation or field.primary_key:
            continue
        value = getattr(row, field.attname)
        said[str(field.verbose_name)] = (
            getattr(row, f"get_{field.name}_display")() if field.choices else _to_the_unit(row, field, value)
        )
    return said


def _to_the_unit(row: models.Model, field: "models.Field[Any, Any]", value: Any) -> Any:
    """An amount of money with the decimals of its currency; anything else as it is."""
    currency = getattr(row, "currency", "")
    is_amount = currency and field.name == "amount" and isinstance(field, models.DecimalField)
    return Money(value, currency).amount if is_amount and value is not None else value


def _as_text(inquiry: Inquiry) -> str:
    messages = "\n\n".join(_message(message) for message in inquiry.messages.all())
    return f"About {inquiry.about}, opened {inquiry.opened_at:%-d %B %Y}\n\n{messages}\n"


def _message(message: Message) -> str:
    who = "The shop" if message.ours else "They"
    return (
        f"{message.at:%-d %B %Y, %H:%M %Z}. {who}, {message.get_channel_display().lower()}:\n{message.body}"
    )


def _put(archive: zipfile.ZipFile, name: str, file: Path) -> None:
    """A file that is not there is named all the same, so that nobody takes the whole for whole."""
    if file.is_file():
        archive.write(file, name)
    else:
        archive.writestr(f"{name}.missing.txt", "This file is no longer on the disk of the shop.\n")
