"""What the pages of a sale and of a person show of cash that is to be reported."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from inquiries.cash.forms import ReportForm
from inquiries.cash.queries import Warned, cautions_of, cautions_on, filed_apart, foreign_of
from inquiries.people.models import Contact
from inquiries.sales.models import Sale
from shop.profile.queries import the_shop
from shop.staff.models import User


def cash_on(
    sale: Sale, user: User, at: datetime, *, bound: Mapping[int, ReportForm] | None = None
) -> dict[str, Any]:
    """The cautions about a sale; for the owner with a form each. `bound` are forms that came back, by their row."""
    shop = the_shop()
    foreign = [one for one in foreign_of(sale.contact, shop) if one.row.sale_id == sale.pk]
    return {"cash": _with_forms(cautions_on(sale, shop, at=at), user, bound or {}), "cash_foreign": foreign}


def cash_of(contact: Contact, user: User, at: datetime) -> dict[str, Any]:
    """The same for a person, with the reports that are filed and belong to no caution any longer."""
    shop = the_shop()
    found = cautions_of(contact, shop, at=at)
    return {
        "cash": _with_forms(found, user, {}),
        "cash_foreign": foreign_of(contact, shop),
        "cash_apart": filed_apart(contact, found),
    }


def _with_forms(found: Iterable[Warned], user: User, bound: Mapping[int, ReportForm]) -> list[Warned]:
    return [
        replace(warned, form=bound.get(warned.passed_on.pk) or report_form(warned))
        if user.is_owner and warned.filed is None
        else warned
        for warned in found
    ]


def report_form(warned: Warned) -> ReportForm:
    """The form, filled with today."""
    return ReportForm(initial={"filed_on": warned.today}, auto_id=id_of(warned.passed_on.pk))


def id_of(row: int) -> str:
    """How the fields of the form of one payment are named on a page."""
    return f"id_report_{row}_%s"
