"""Sound and film of one record: send, see how far each is, title, captions, chapters, order, take off, put back."""

from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from catalog.desk.forms.recordings import RecordingForm, chapters_as_typed
from catalog.desk.views.record import find_instrument, find_standing, record_context, revision_of
from catalog.instruments.models import Instrument
from catalog.public.queries import pages
from catalog.recordings import actions
from catalog.recordings.intake import recording_path
from catalog.recordings.models import Recording
from catalog.recordings.queries import chapters_from_sheet
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.guards import DeskRequest, desk


@require_safe
@desk
def recordings(request: DeskRequest, stock: int) -> HttpResponse:
    """All recordings in their order, and where more are sent in."""
    stands = find_standing(stock, at=timezone.now())
    rows = list(stands.instrument.recordings.select_related("poster"))
    off = Recording.State.OFF
    context = {
        **record_context(request, stands, "recordings"),
        "recordings": [row for row in rows if row.state != off],
        "taken_off": [row for row in rows if row.state == off],
    }
    return render(request, "desk/recordings/list.html", context)


@require_POST
@desk
def send(request: DeskRequest, stock: int) -> HttpResponse:
    """Take in the files of one POST; each is refused by its name or kept, whatever the others are."""
    instrument = find_instrument(stock)
    answers = [_received(request, instrument, upload) for upload in request.FILES.getlist("files")]
    if not request.accepts("text/html"):
        return JsonResponse({"files": answers})
    for answer in answers:
        (messages.success if answer["kept"] else messages.error)(request, answer["says"])
    if not answers:
        messages.warning(request, "No file came with that. Choose recordings, then send.")
    return redirect("recordings", stock)


def _received(request: DeskRequest, instrument: Instrument, upload: "UploadedFile[bytes]") -> dict[str, Any]:
    name = upload.name or ""
    try:
        recording = actions.receive_recording(instrument, upload, by=request.user, at=timezone.now())
    except Refused as refused:
        return {"name": name, "kept": False, "says": refused.message}
    answer = {"name": name, "kept": True, "says": f"{name} is kept."}
    if not request.accepts("text/html"):
        context = {"recording": recording, "instrument": instrument}
        answer["print"] = render_to_string("desk/recordings/_row.html", context, request)
    return answer


@require_safe
@desk
def state(request: DeskRequest, stock: int, token: str) -> HttpResponse:
    """One recording alone: while the worker is at it, this part asks again by itself."""
    recording = find_recording(stock, token)
    context = {"recording": recording, "instrument": recording.instrument}
    return render(request, "desk/recordings/_player.html", context)


@require_http_methods(["GET", "POST"])
@desk
def change(request: DeskRequest, stock: int, token: str) -> HttpResponse:
    """What is said of one recording. Chapters drawn from the sheet stand in the form until they are saved."""
    at = timezone.now()
    recording = find_recording(stock, token)
    data = request.POST if request.method == "POST" else None
    if data is not None and "from-sheet" in data:
        return _page(request, stock, recording, _with_chapters(request, recording))
    form = RecordingForm(recording, data)
    if (
        data is not None
        and form.is_valid()
        and form.keep(by=request.user, at=at, revision=revision_of(request))
    ):
        messages.success(request, "The recording: saved.")
        return redirect("recordings", stock)
    return _page(request, stock, recording, form)


def _page(request: DeskRequest, stock: int, recording: Recording, form: RecordingForm) -> HttpResponse:
    context = record_context(request, find_standing(stock, at=timezone.now()), "recordings")
    return render(request, "desk/recordings/change.html", {**context, "recording": recording, "form": form})


def _with_chapters(request: DeskRequest, recording: Recording) -> RecordingForm:
    """The form as it was typed, with first chapters from the speaker's sheet; nothing is saved yet."""
    instrument = pages(Instrument.objects.all(), at=timezone.now()).get(pk=recording.instrument_id)
    text = chapters_from_sheet(recording, instrument, the_shop())
    typed = request.POST.copy()
    if text:
        typed["chapters"] = chapters_as_typed(text, recording.milliseconds)
        messages.info(request, "Chapters drawn from the speaker’s sheet. Correct their times, then save.")
    else:
        messages.warning(
            request, "The speaker’s sheet has no line to make a chapter of, or the recording is not ready."
        )
    return RecordingForm(recording, typed)


@require_POST
@desk
def move(request: DeskRequest, stock: int, token: str) -> HttpResponse:
    """One place earlier or later."""
    places = -1 if request.POST.get("to") == "earlier" else 1
    actions.move(find_recording(stock, token), places, by=request.user, at=timezone.now())
    return _back(stock, token)


@require_POST
@desk
def take_off(request: DeskRequest, stock: int, token: str) -> HttpResponse:
    """Show it no longer. Nothing is lost."""
    if actions.take_off(find_recording(stock, token), by=request.user, at=timezone.now()):
        messages.success(
            request, "The recording is taken off. Its file and its words are kept; it can be put back."
        )
    return redirect("recordings", stock)


@require_POST
@desk
def put_back(request: DeskRequest, stock: int, token: str) -> HttpResponse:
    """Show it again."""
    if actions.put_back(find_recording(stock, token), by=request.user, at=timezone.now()):
        messages.success(request, "The recording is back.")
    return _back(stock, token)


@require_safe
@desk
def received(request: DeskRequest, stock: int, token: str) -> FileResponse:
    """The file as it was received, to be kept and not opened by the browser."""
    recording = find_recording(stock, token)
    try:
        file = recording_path(recording.sha256, recording.suffix).open("rb")
    except FileNotFoundError:  # a folder that was not restored is no error page
        raise Http404 from None
    kind = "application/octet-stream"
    return FileResponse(file, as_attachment=True, filename=recording.original_name, content_type=kind)


def find_recording(stock: int, token: str) -> Recording:
    """The recording of that record; Http404 when there is none."""
    rows = Recording.objects.select_related("instrument", "poster")
    return get_object_or_404(rows, instrument__stock=stock, token=token)


def _back(stock: int, token: str) -> HttpResponse:
    answer = redirect("recordings", stock)
    answer["Location"] += f"#recording-{token}"
    return answer
