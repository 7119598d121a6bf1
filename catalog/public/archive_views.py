"""The sold archive: a reference work, by the years of sale."""

from datetime import datetime
from itertools import groupby

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.instruments.models import Instrument
from catalog.public.archive import LABELS, Archive
from catalog.public.depends import of_cards
from catalog.public.queries import PAGE_LENGTH, cards
from catalog.public.shown.cards import card
from catalog.search.views import without
from shop.kept.pages import kept


@require_safe
@kept(depends_on=of_cards, query=[*LABELS, "page"])
def sold(request: HttpRequest) -> HttpResponseBase:
    """The sold archive, latest first, under the years of sale. An address with empty choices becomes a short one."""
    if "" in [value for _name, values in request.GET.lists() for value in values]:
        return redirect(without(request, ""))
    archive = Archive(request.GET.dict())
    questions = archive.questions()
    page = Paginator(archive.pieces().values_list("pk", flat=True), PAGE_LENGTH).get_page(
        request.GET.get("page")
    )
    years = groupby(_cards(list(page.object_list), at=timezone.now()), key=_year_of_sale)
    many = {choice.value: choice.many for choice in questions[-1].choices}
    shown = {
        "page_obj": page,
        "questions": questions,
        "chosen": [
            (question.label, question.chosen, without(request, question.name))
            for question in questions
            if question.chosen
        ],
        "years": [(year, many[str(year)], [card(row) for row in rows]) for year, rows in years],
    }
    return render(request, "public/sold.html", shown)


def _cards(keys: list[int], *, at: datetime) -> list[Instrument]:
    found = {row.pk: row for row in cards(Instrument.objects.filter(pk__in=keys), at=at)}
    return [found[key] for key in keys]


def _year_of_sale(instrument: Instrument) -> int:
    assert instrument.sold_at is not None  # noqa: S101 - by constraint
    return timezone.localtime(instrument.sold_at).year
