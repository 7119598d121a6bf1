"""The list of inquiries, one inquiry, and what is said in it."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inquiries.answering.letter import marked, named
from inquiries.desk.actions import Caller, note_call
from inquiries.desk.inbox import ALL, IN_WORDS, counts, lines, stretch_of, wanted
from inquiries.desk.inquiry_forms import AnswerForm, CallForm, NoteForm
from inquiries.desk.thread_page import thread_of, thread_page
from inquiries.threads.actions import add_message, answer, lay_aside
from inquiries.threads.stops import Stopped
from inquiries.threads.turn_rules import Turn
from shop.hours.queries import open_week
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk


@require_safe
@desk
def inquiries(request: DeskRequest) -> HttpResponse:
    """The threads whose turn is asked for (?show=ours, theirs, done or all), a page at a time."""
    at, week, show = timezone.now(), open_week(the_shop()), wanted(request.GET.get("show", ""))
    stretch = stretch_of(show, after=request.GET.get("after", ""), before=request.GET.get("before", ""))
    number = counts()
    names = {**{turn.value: turn.word for turn in Turn}, ALL: "All"}
    context = {
        "show": show,
        "showing": names[show],
        "order": IN_WORDS[show],
        "lists": [(key, word, number[key]) for key, word in names.items()],
        "stretch": stretch,
        "lines": lines(stretch.rows, week, at=at),
        "week": week,
    }
    return render(request, "desk/inquiries/list.html", context)


@require_safe
@desk
def inquiry(request: DeskRequest, inquiry: int) -> HttpResponse:
    """One thread, both sides, with what is known of the instrument beside it."""
    return thread_page(request, thread_of(inquiry))


@require_POST
@desk
def inquiry_answer(request: DeskRequest, inquiry: int) -> HttpResponse:
    """Answer by mail."""
    found, form = thread_of(inquiry), AnswerForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        as_it_stands = request.POST.get("as_it_stands") == named(given["text"])
        try:
            answer(
                found,
                given["text"],
                entry=given["entry"],
                by=request.user,
                at=timezone.now(),
                as_it_stands=as_it_stands,
            )
        except Stopped as stopped:
            read = marked(given["text"], stopped.stops)
            return thread_page(request, found, reply=form, stopped=read, text_name=named(given["text"]))
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"Your answer to {found.contact} is on its way.")
            return redirect("inquiry", inquiry)
    return thread_page(request, found, reply=form)


@require_POST
@desk
def inquiry_note(request: DeskRequest, inquiry: int) -> HttpResponse:
    """Note what was said by telephone, on a visit, by letter."""
    found, form = thread_of(inquiry), NoteForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        kept = add_message(
            found,
            given["text"],
            ours=given["said_by"] == "ours",
            channel=given["channel"],
            entry=given["entry"],
            by=request.user,
            at=timezone.now(),
        )
        elsewhere = " It stands in the open inquiry on the same piece." if kept.inquiry_id != inquiry else ""
        messages.success(request, f"Noted.{elsewhere}")
        return redirect("inquiry", kept.inquiry_id)
    return thread_page(request, found, note=form)


@require_POST
@desk
def inquiry_lay_aside(request: DeskRequest, inquiry: int) -> HttpResponse:
    """Nothing more is to be said."""
    found = thread_of(inquiry)
    lay_aside(found, by=request.user, at=timezone.now())
    again = f" It comes up again on {found.follow_up_on:%-d %B %Y}." if found.follow_up_on else ""
    messages.success(request, f"The inquiry of {found.contact} is laid aside.{again}")
    return redirect("inquiries")


@require_http_methods(["GET", "POST"])
@desk
def inquiry_new(request: DeskRequest) -> HttpResponse:
    """Take in a question that came by telephone, by letter or in the shop."""
    form = CallForm(request.POST or None, initial={"stock": request.GET.get("stock")})
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        kept = note_call(
            given["stock"],
            given["matter"],
            Caller(given["name"], given["email"], given["telephone"]),
            given["text"],
            channel=given["channel"],
            entry=given["entry"],
            by=request.user,
            at=timezone.now(),
        )
        messages.success(request, f"The question of {kept.contact} is noted.")
        return redirect("inquiry", kept.pk)
    return render(request, "desk/inquiries/new.html", {"form": form})
