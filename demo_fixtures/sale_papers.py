"""Papers of the invented year's sales: invoices, bills of sale, statements, and one invoice that was made anew."""

from inquiries.models import IssuedPaper, Sale
from inquiries.papers.issuing import issue_paper
from shop.models import User

Kind = IssuedPaper.Kind


def load_sale_papers(*, owner: User) -> None:
    """Each on the day its sale was closed, the first sale first, so that numbers stand in the order of days."""
    closed = Sale.objects.filter(outcome=Sale.Outcome.CLOSED).select_related("instrument__acquisition")
    for sale in closed.order_by("ended_at", "pk"):
        at = sale.ended_at
        if at is None:
            continue
        for kind in (Kind.INVOICE, Kind.BILL, *_for_the_consignor(sale)):
            issue_paper(kind, sale, entry=f"{sale.number}-{kind}", by=owner, at=at)
    last = IssuedPaper.objects.filter(kind=Kind.INVOICE).order_by("at").last()
    if last is not None and last.sale is not None:
        why = "The buyer asked for the name of the firm on it."
        issue_paper(
            Kind.INVOICE, last.sale, entry=f"{last.number}-2", cancels=1, reason=why, by=owner, at=last.at
        )


def _for_the_consignor(sale: Sale) -> list[str]:
    acquisition = getattr(sale.instrument, "acquisition", None)
    consigned = acquisition is not None and acquisition.how == acquisition.How.CONSIGNED
    return [Kind.STATEMENT] if consigned else []
