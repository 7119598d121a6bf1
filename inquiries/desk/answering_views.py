"""What goes into a reply at a press: facts, answers, saved phrases, picture links. Nothing typed is ever lost."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inquiries.answering import actions
from inquiries.answering.letter import Marked, marked, put_in
from inquiries.answering.models import PictureLink, SavedPhrase
from inquiries.answering.phrases import FIELDS, filled
from inquiries.answering.queries import phrases, values_for
from inquiries.answering.reading import claims_of
from inquiries.desk.answering_forms import LinkForm, PhraseForm
from inquiries.desk.answering_panel import Beside, beside
from inquiries.desk.inquiry_forms import AnswerForm
from inquiries.desk.thread_page import thread_of, thread_page
from inquiries.threads.models import Inquiry
from inquiries.threads.stops import Stop
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk
from shop.wording import day_of

CHANGED = "The record has changed since this page was opened. Look at what stands beside your answer now."


@require_POST
@desk
def inquiry_put_in(request: DeskRequest, inquiry: int) -> HttpResponse:
    """Put a fact, an answer or a phrase into the answer being written, and show the page with all that was typed."""
    found, key = thread_of(inquiry), request.POST.get("put", "")
    known = beside(found, at=timezone.now())
    if key.startswith("phrase-"):
        return _phrase_put_in(request, found, known, key.removeprefix("phrase-"))
    sentence = known.sentence(key, request.POST.get("part", ""))
    if not sentence:
        return _page(request, found, refusal=CHANGED)
    return _page(request, found, put=sentence)


def _phrase_put_in(request: DeskRequest, found: Inquiry, known: Beside, number: str) -> HttpResponse:
    phrase = phrases().filter(pk=int(number)).first() if number.isdecimal() else None
    if phrase is None:
        return _page(request, found, refusal="That phrase has been removed.")
    values = values_for(found, known.told, known.piece, the_shop(), at=timezone.now())
    if known.piece is not None and known.piece.is_public:
        values["address"] = request.build_absolute_uri(known.piece.get_absolute_url())
    ready = filled(phrase.text, values)
    if ready.lacking:
        lacking = "; ".join(f"{{{name}}}, {FIELDS[name]}" for name in ready.lacking)
        says = f"“{phrase.title}” cannot be filled in: there is nothing here for {lacking}."
        return _page(request, found, refusal=says)
    claims = claims_of(ready.text, known.piece)
    stops = [Stop(one.start, one.end, one.why, not one.contradicted) for one in claims]
    read = marked(ready.text, stops)
    if any(one.contradicted for one in claims):
        says = f"“{phrase.title}” is not put in: the record of this piece says otherwise."
        return _page(request, found, refusal=says, read=read)
    return _page(request, found, put=ready.text, read=read if claims else None)


@require_POST
@desk
def inquiry_pictures(request: DeskRequest, inquiry: int) -> HttpResponse:
    """Make a private link to full-size pictures and put its address into the answer, where alone it is to be read."""
    found, now = thread_of(inquiry), timezone.now()
    form = LinkForm(found.instrument_id, request.POST)
    if not form.is_valid():
        return _page(request, found, link_form=form)
    given = form.cleaned_data
    try:
        token = actions.make_link(
            found, given["photographs"], given["days"], entry=given["entry"], by=request.user, at=now
        )
    except Refused as refused:
        form.add_error(None, refused.message)
        return _page(request, found, link_form=form)
    link = PictureLink.objects.get(token_hash=actions.hashed(token))
    address = request.build_absolute_uri(reverse("pictures-for-you", args=[token]))
    until = day_of(timezone.localdate(link.until))
    many = len(given["photographs"])
    here = "Here is the picture" if many == 1 else f"Here are the {many} pictures"
    return _page(request, found, put=f"{here} at full size, until {until}: {address}")


@require_POST
@desk
def picture_link_take_back(request: DeskRequest, link: int) -> HttpResponse:
    """The address leads nowhere from now on."""
    found = get_object_or_404(PictureLink.objects.select_related("inquiry"), pk=link)
    actions.take_back(found, by=request.user, at=timezone.now())
    messages.success(request, "The pictures are taken back: their address leads nowhere now.")
    return redirect("inquiry", found.inquiry_id)


def _page(
    request: DeskRequest,
    found: Inquiry,
    *,
    put: str = "",
    refusal: str = "",
    read: Marked | None = None,
    **shown: Any,
) -> HttpResponse:
    """The thread with the answer as it was typed, and `put` in it where the cursor stood."""
    form = AnswerForm()
    for name in form.fields:
        if name in request.POST:
            form.initial[name] = request.POST[name]
    text = request.POST.get("text", "").replace("\r\n", "\n")
    if put:
        cursor = request.POST.get("cursor", "")
        text = put_in(text, put, int(cursor[:6]) if cursor[:6].isdecimal() else None)
    form.initial["text"] = text
    return thread_page(request, found, reply=form, put_refusal=refusal, put_read=read, **shown)


@require_safe
@desk
def saved_phrases(request: DeskRequest) -> HttpResponse:
    """Every saved phrase, and what may stand in braces."""
    return render(request, "desk/phrases/list.html", {"phrases": phrases(), "fields": FIELDS.items()})


@require_http_methods(["GET", "POST"])
@desk
def phrase_new(request: DeskRequest) -> HttpResponse:
    """Write a phrase to be used again."""
    return _phrase_page(request, None)


@require_http_methods(["GET", "POST"])
@desk
def phrase_change(request: DeskRequest, phrase: int) -> HttpResponse:
    """Change a phrase; letters that it stands in stay as they are."""
    return _phrase_page(request, get_object_or_404(SavedPhrase, pk=phrase))


def _phrase_page(request: DeskRequest, phrase: SavedPhrase | None) -> HttpResponse:
    form = PhraseForm(request.POST or None, instance=phrase)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            actions.keep_phrase(phrase, given["title"], given["text"], by=request.user, at=timezone.now())
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"“{given['title']}” is kept.")
            return redirect("phrases")
    return render(
        request, "desk/phrases/phrase.html", {"form": form, "phrase": phrase, "fields": FIELDS.items()}
    )


@require_POST
@desk
def phrase_remove(request: DeskRequest, phrase: int) -> HttpResponse:
    """Use a phrase no more."""
    found = get_object_or_404(SavedPhrase, pk=phrase)
    actions.remove_phrase(found, by=request.user, at=timezone.now())
    messages.success(request, f"“{found.title}” is removed. Its words stay in the history.")
    return redirect("phrases")
