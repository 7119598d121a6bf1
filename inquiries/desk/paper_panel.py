"""The papers of a sale and the quotations of a thread, as the desk shows them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django import forms
from django.urls import reverse

from catalog.models import Instrument
from inquiries.borders.rules import crosses_customs
from inquiries.desk.paper_forms import CustomsForm, PaperForm, QuotationForm
from inquiries.offers.queries import accepted_for
from inquiries.papers.content_customs import INSTRUMENT, codes_for
from inquiries.papers.models import IssuedPaper
from inquiries.sales.hold_models import Hold
from inquiries.sales.models import Sale
from inquiries.sales.queries import IN_FORCE
from inquiries.sales.rules import SaleFacts
from inquiries.shipping.destination import country_of
from inquiries.threads.models import Inquiry
from shop.money import Money
from shop.profile.queries import the_shop
from shop.staff.models import User

Kind = IssuedPaper.Kind
OF_A_SALE = [Kind.INVOICE, Kind.PLAN, Kind.BILL, Kind.PACKING, Kind.CUSTOMS, Kind.STATEMENT, Kind.RETURN]
STANDS_FOR = timedelta(days=14)  # how long a quotation is proposed to stand; common practice, no source


@dataclass(frozen=True)
class Made:
    """One kind of paper, or one receipt: its versions, the newest first, and the form that makes the next."""

    key: str
    label: str
    versions: list[IssuedPaper]
    form: forms.Form
    address: str

    @property
    def asks(self) -> bool:
        """Whether something is to be typed before it can be made."""
        return bool(self.form.visible_fields())


def papers(sale: Sale, facts: SaleFacts, user: User, at: datetime) -> dict[str, Any]:
    """Every paper that the sale has or may need; the consignor's statement for the owner alone."""
    made = _versions(sale.papers.all())
    kinds = [kind for kind in OF_A_SALE if kind in made or _fits(kind, sale, user)]
    if not user.is_owner:
        kinds = [kind for kind in kinds if kind != Kind.STATEMENT]
    return {
        "paper_kinds": [
            *(_of_kind(kind, sale, made.get(kind, []), at=at) for kind in kinds),
            *(_receipt(versions) for key, versions in made.items() if versions[0].kind == Kind.RECEIPT),
        ]
    }


def _of_kind(kind: Kind, sale: Sale, versions: list[IssuedPaper], *, at: datetime) -> Made:
    address = (
        reverse("statement-make", args=[sale.number])
        if kind == Kind.STATEMENT
        else reverse("paper-make", args=[sale.number, kind])
    )
    return Made(kind, kind.label, versions, form_for(kind, sale, versions, at=at), address)


def _receipt(versions: list[IssuedPaper]) -> Made:
    number, row = versions[0].number, versions[0].row
    assert row is not None, "a receipt is of an amount"  # noqa: S101 - by constraint
    label = f"Receipt for {Money(row.received, row.currency)}"
    return Made(number, label, versions, receipt_form(versions), reverse("receipt-anew", args=[number]))


def receipt_form(versions: list[IssuedPaper], data: Any = None) -> PaperForm:
    """The form that makes a receipt anew; `versions`, the newest first."""
    return PaperForm(data, version=versions[0].version, auto_id=f"id_{versions[0].number}_%s")


def _versions(rows: Any) -> dict[str, list[IssuedPaper]]:
    """The versions of each kind, the newest first; those of a receipt by its number, since a sale has many."""
    found: dict[str, list[IssuedPaper]] = {}
    for paper in rows.select_related("by", "cancelled_by", "file", "row").order_by(
        "kind", "number", "-version"
    ):
        found.setdefault(paper.number if paper.kind == Kind.RECEIPT else paper.kind, []).append(paper)
    return found


def _fits(kind: str, sale: Sale, user: User) -> bool:
    """Whether such a paper can be asked for at all; what is still missing for it is said when it is."""
    if kind == Kind.PLAN:
        return sale.plans.exists()
    if kind == Kind.RETURN:
        return sale.return_calls.exists()
    if kind == Kind.CUSTOMS:
        country = country_of(sale)
        return bool(country) and crosses_customs(the_shop().country, country)
    if kind == Kind.STATEMENT:
        acquisition = getattr(sale.instrument, "acquisition", None)
        return user.is_owner and acquisition is not None and acquisition.how == acquisition.How.CONSIGNED
    return True


def form_for(
    kind: str, sale: Sale, versions: Iterable[IssuedPaper], *, at: datetime, data: Any = None
) -> PaperForm:
    """The form that makes the first or the next version of a kind."""
    version = next((paper.version for paper in versions), None)
    options: dict[str, Any] = {"version": version, "auto_id": f"id_{kind}_%s"}
    if kind != Kind.CUSTOMS:
        return PaperForm(data, **options)
    shop = the_shop()
    codes = codes_for(
        sale.instrument,
        leaving=shop.country,
        entering=country_of(sale) or shop.country,
        on=at.astimezone(shop.zone).date(),
        goods=data.get("goods") or INSTRUMENT if data else INSTRUMENT,
    )
    return CustomsForm(data, codes=codes, **options)


def quotations(inquiry: Inquiry, instrument: Instrument | None, user: User, at: datetime) -> dict[str, Any]:
    """The quotations that the person of a thread was given, and the form of the next."""
    if instrument is None:
        return {}
    versions = _versions(inquiry.papers.all()).get(Kind.QUOTATION, [])
    return {
        "quotations": versions,
        "quotation_form": quotation_form(inquiry, instrument, versions, at=at),
    }


def quotation_form(
    inquiry: Inquiry,
    instrument: Instrument,
    versions: Iterable[IssuedPaper],
    *,
    at: datetime,
    data: Any = None,
) -> QuotationForm:
    """Price and day are proposed: what was agreed on with a hold, or else the asking price."""
    return QuotationForm(
        data,
        currency=instrument.currency,
        price=_price(inquiry, instrument),
        until=(at + STANDS_FOR).astimezone(the_shop().zone).date(),
        version=next((paper.version for paper in versions), None),
        auto_id="id_quotation_%s",
    )


def _price(inquiry: Inquiry, instrument: Instrument) -> Any:
    held = Hold.objects.filter(inquiry=inquiry, state__in=IN_FORCE).select_related("instrument").first()
    offer = accepted_for(held) if held else None
    if offer is not None and offer.currency == instrument.currency and offer.amount:
        return offer.amount
    return instrument.asking_price
