"""A small shop with one row of everything, for tests that look at every address."""

from dataclasses import dataclass
from datetime import time, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from catalog.instruments.addresses import maker_places, model_places
from catalog.models import (
    Acquisition,
    ClaimAnswer,
    ClaimWord,
    Cost,
    DatingEvidence,
    DayOfViews,
    Feature,
    Finding,
    FoundNumber,
    Included,
    Instrument,
    ListPrice,
    Material,
    Measurement,
    NumberRange,
    NumberTable,
    PartMaterial,
    Photograph,
    Provenance,
    Recording,
    SeenFeature,
    SpokenLine,
    Unusual,
    UsualFeature,
)
from catalog.papers.actions import add_paper
from catalog.pictures.prints import make_prints
from catalog.recordings.actions import receive_recording
from catalog.recordings.tasks import prepare
from inquiries.answering.actions import hashed
from inquiries.mail.keeping import file_path, keep_file, keep_message
from inquiries.models import (
    Attachment,
    BorderCheck,
    BorderRule,
    Call,
    CarrierRule,
    CashLimit,
    Clearing,
    Contact,
    Delivery,
    FirstCall,
    Hold,
    Inquiry,
    LedgerRow,
    MailFolder,
    Merge,
    Message,
    NotTheSame,
    Offer,
    OfferEnd,
    OtherAddress,
    OwnedPiece,
    Payout,
    PictureLink,
    PostalAddress,
    Receipt,
    ReceivedMail,
    Sale,
    SavedPhrase,
    Shipment,
    TaxPolicy,
    TaxRate,
    Want,
)
from inquiries.papers.actions import issue_receipt
from inquiries.people.merge_actions import merge, tell_apart
from inquiries.threads import turns
from inquiries.wants.links import CONFIRM, UNSUBSCRIBE, token_for
from shop.history.actions import record
from shop.models import ClosedDay, Job, OpenHours, User
from tests.factories import (
    NOON,
    ContactFactory,
    InquiryFactory,
    InstrumentFactory,
    OwnerFactory,
    PhotographFactory,
)
from tests.support.sounds import wav

DAY = timedelta(days=1)
PICTURE_TOKEN = "pictures-for-the-buyer"


@dataclass
class World:
    """What was built, and a sample value for every part of every address."""

    owner: User
    listed: Instrument
    sold: Instrument
    inquiry: Inquiry
    sale: Sale
    receipt: Receipt
    photograph: Photograph
    samples: dict[str, Any]


def build_world() -> World:
    """One listed piece on hold with a queue, one sold piece with its whole sale, all rows filled."""
    owner = OwnerFactory(username="ada")
    listed, sold = InstrumentFactory(listed=True), InstrumentFactory(sold=True)
    for instrument in (listed, sold):
        fill(instrument, owner)
    OpenHours.objects.create(weekday=2, opens=time(9), closes=time(17))
    tax(owner)
    carriers(owner)
    inquiry = InquiryFactory(instrument=listed)
    speak(inquiry, owner)
    receive_mail(inquiry, owner)
    help_to_answer(inquiry, owner)
    seek(inquiry, owner)
    know(inquiry.contact, owner)
    offer(inquiry, owner)
    hold(inquiry, owner, Hold.State.ACTIVE)
    hold(InquiryFactory(instrument=listed), owner, Hold.State.QUEUED)
    sale, receipt = sell(sold, owner)
    photograph = listed.photographs.get()
    world = World(owner, listed, sold, inquiry, sale, receipt, photograph, {})
    world.samples = sample_values(world)
    return world


def fill(instrument: Instrument, owner: User) -> None:
    """One row of everything that hangs from a record."""
    Instrument.objects.filter(pk=instrument.pk).update(setup="Strung with light strings.")
    instrument.floor_price = Decimal(9000)
    instrument.convertible_back = Instrument.ConvertibleBack.YES
    instrument.conversion_when, instrument.conversion_note = "c. 1960", "A new neck was made."
    instrument.save()
    measure = instrument.kind.measures.filter(quantity="length").first()
    FoundNumber.objects.create(instrument=instrument, value="4417", where="on the rim")
    Measurement.objects.create(instrument=instrument, measure=measure, amount=1680, unit="in64")
    Included.objects.create(instrument=instrument, what="Original hard case")
    Provenance.objects.create(
        instrument=instrument, when="1931", kind=Provenance.Kind.SOLD_NEW, public="Sold new", private="x"
    )
    scan = BytesIO()
    Image.new("RGB", (60, 80), "#ddc").save(scan, "PNG")
    paper = add_paper(
        instrument,
        {
            "kind": "bill",
            "title": "Bill of sale",
            "when": "1931",
            "public": True,
            "from_whom": "x",
            "note": "x",
        },
        SimpleUploadedFile("bill.png", scan.getvalue()),
        by=owner,
        at=NOON,
    )
    Provenance.objects.create(
        instrument=instrument,
        when="1951 to 1964",
        kind="owned",
        public="A dance band",
        person="x",
        paper=paper,
    )
    Acquisition.objects.create(
        instrument=instrument,
        how=Acquisition.How.CONSIGNED,
        seller="x",
        seller_contact="x",
        on=NOON.date(),
        commission_percent=Decimal(20),
        note="x",
    )
    Cost.objects.create(
        instrument=instrument,
        kind=Cost.Kind.SETUP,
        amount=Decimal(120),
        currency="USD",
        on=NOON.date(),
        note="x",
        by=owner,
        at=NOON,
    )
    PhotographFactory(
        instrument=instrument, lead=True, view=instrument.kind.views.first(), caption="The whole front"
    )
    record_it(instrument, owner)
    examine_it(instrument, owner)
    date_it(instrument, owner)
    compare_with_its_model(instrument, owner)
    DayOfViews.objects.create(instrument=instrument, day=NOON.date(), host="searchsite.example", views=3)
    SpokenLine.objects.create(instrument=instrument, key="condition", position=2, words="x", from_record="x")
    record(instrument, "changed", by=owner, at=NOON, field="floor price", old="x", new="x")


def record_it(instrument: Instrument, owner: User) -> None:
    """A tune that is ready to be played, with captions and chapters."""
    tune = receive_recording(instrument, SimpleUploadedFile("tune.wav", wav()), by=owner, at=NOON)
    finish = prepare.function(recording=tune.pk)
    assert finish is not None
    finish(NOON)
    Recording.objects.filter(pk=tune.pk).update(
        title="All strings open",
        captions="WEBVTT\n\n00:00.000 --> 00:00.400\nThis is no. 4417.\n",
        chapters="WEBVTT\n\n00:00.000 --> 00:00.500\nThe first chord\n",
    )


def examine_it(instrument: Instrument, owner: User) -> None:
    """One part as it was made, and one that was changed, of which everything is known."""
    leaves = instrument.kind.parts.filter(children=None)
    PartMaterial.objects.create(
        instrument=instrument,
        part=leaves[0],
        material=Material.objects.get(name="Brazilian rosewood"),
        when="1931",
        fitted="c. 1931",
        evidence="x",
        note="x",
    )
    ClaimWord.objects.get_or_create(claim="rare", words="hen’s teeth")
    ClaimAnswer.objects.create(
        instrument=instrument,
        claim="rare",
        sentence="It is hen’s teeth.",
        how=ClaimAnswer.How.SOURCE,
        reason="x",
        by=owner,
        at=NOON,
    )
    Finding.objects.create(
        instrument=instrument,
        part=leaves[0],
        state=Finding.State.ORIGINAL,
        evidence="Seen under a lamp",
        examined_by=owner,
        examined_at=NOON,
    )
    Finding.objects.create(
        instrument=instrument,
        part=leaves[1],
        state=Finding.State.LATER,
        seen=Finding.Seen.LOUPE,
        certainty=Finding.Certainty.LIKELY,
        evidence="Cast in another alloy",
        note="Well made",
        when="c. 1970",
        work_by="x",
        photograph=instrument.photographs.get(),
        paper=instrument.papers.get(),
        original_kept=True,
        original_where="In the case",
        seen_by="x",
        examined_by=owner,
        examined_at=NOON,
    )


def date_it(instrument: Instrument, owner: User) -> None:
    """A table of its maker's numbers, a dated feature, and evidence that rests on both."""
    maker = instrument.maker
    table = NumberTable.objects.create(maker=maker, source="x", loaded_by=owner, loaded_at=NOON)
    line = NumberRange.objects.create(table=table, first=4001, last=8200, when="1929 to 1932", page="x")
    feature = Feature.objects.create(maker=maker, name="x", when="not before 1930", source="x", page="x")
    evidence = DatingEvidence(
        instrument=instrument,
        kind=DatingEvidence.Kind.NUMBER,
        says="Serial number 4417, on the rim",
        when=line.when,
        source="The ledgers, page 12",
        number=instrument.numbers.first(),
        found_in=line,
        photograph=instrument.photographs.first(),
        paper=instrument.papers.first(),
        note="x",
    )
    evidence.save()
    DatingEvidence.objects.create(
        instrument=instrument,
        kind=DatingEvidence.Kind.FEATURE,
        says="Two-way lugs",
        when=feature.when,
        source="A price list",
        feature=feature,
    )


def compare_with_its_model(instrument: Instrument, owner: User) -> None:
    """What is usual on its model, what is unusual about it, and what it cost when it was new."""
    model = instrument.model
    UsualFeature.objects.create(
        model=model,
        what="Tailpiece",
        value="Plain",
        when="1925 to 1935",
        source="Price list of 1927",
        page="4",
    )
    UsualFeature.objects.create(model=model, what="Rim", value="Maple", source="Price list of 1927")
    SeenFeature.objects.create(instrument=instrument, what="Tailpiece", value="Pierced")
    SeenFeature.objects.create(instrument=instrument, what="Rim", value="Walnut")
    Unusual.objects.create(
        instrument=instrument,
        what="Tailpiece",
        seen="Pierced",
        verdict=Unusual.Verdict.FACTORY,
        evidence="So in the order book",
        photograph=instrument.photographs.first(),
        paper=instrument.papers.first(),
        by=owner,
        at=NOON,
    )
    ListPrice.objects.create(
        model=model, year=1931, amount=Decimal(125), source="Price list of 1931", page="12"
    )


def tax(owner: User) -> None:
    """A rate, a policy, and a limit of cash."""
    long_ago = (NOON - 3000 * DAY).date()
    TaxRate.objects.create(
        jurisdiction="x", country="US", percent=Decimal(6), starts=long_ago, source="x", by=owner, at=NOON
    )
    TaxPolicy.objects.create(
        starts=long_ago, scheme=TaxPolicy.Scheme.MARGIN, inland="x", note="x", by=owner, at=NOON
    )
    CashLimit.objects.create(
        country="US",
        starts=long_ago,
        amount=Decimal(10000),
        currency="USD",
        check_face=Decimal(10000),
        source="x",
        read_on=long_ago,
        by=owner,
        at=NOON,
    )


def carriers(owner: User) -> None:
    """What a carrier asks, with every limit."""
    long_ago = (NOON - 3000 * DAY).date()
    CarrierRule.objects.create(
        carrier="Mule Train",
        starts=long_ago,
        divisor=Decimal(139),
        above=Decimal(1728),
        girth_limit=Decimal(165),
        longest=Decimal(108),
        heaviest=Decimal(150),
        declared_limit=Decimal(1000),
        currency="USD",
        source="x",
        read_on=long_ago,
        by=owner,
        at=NOON,
    )


def speak(inquiry: Inquiry, owner: User) -> None:
    """A question and an answer."""
    for number, ours in enumerate((False, True)):
        Message.objects.create(
            inquiry=inquiry,
            ours=ours,
            channel=Message.Channel.MAIL,
            body="Is it still there?",
            at=NOON,
            by=owner if ours else None,
            message_id=f"<{inquiry.pk}-{number}@world.example>",
        )
    turns.settle(inquiry)


def seek(inquiry: Inquiry, owner: User) -> None:
    """A wish that states everything, a first call that came before the piece was public, and what was said."""
    piece = inquiry.instrument
    want = Want.objects.create(
        contact=inquiry.contact,
        sought="x",
        narrowing="kind=banjo",
        kind=piece.kind,
        maker=piece.maker,
        model=piece.model,
        configuration=piece.configuration_now,
        made_from=1920,
        made_to=1940,
        word_at_least="refinished",
        price_up_to=Decimal(20000),
        asked_at=NOON - 60 * DAY,
    )
    first = FirstCall.objects.create(
        instrument=piece, hours=24, opened_at=NOON - 40 * DAY, ended_at=NOON - 39 * DAY, by=owner
    )
    Call.objects.create(
        first_call=first,
        want=want,
        position=1,
        reasons="x",
        said=Call.Said.NO,
        told_at=NOON - 40 * DAY,
        until=NOON - 39 * DAY,
        said_at=NOON - 40 * DAY,
    )


def help_to_answer(inquiry: Inquiry, owner: User) -> None:
    """A saved phrase, and full-size pictures given to the person of a thread."""
    SavedPhrase.objects.create(title="x", text="x {name}", by=owner, changed_at=NOON)
    link = PictureLink.objects.create(
        inquiry=inquiry,
        instrument=inquiry.instrument,
        token_hash=hashed(PICTURE_TOKEN),
        made_at=NOON,
        until=NOON + 36_000 * DAY,
        by=owner,
    )
    link.photographs.set(inquiry.instrument.photographs.all())


def receive_mail(inquiry: Inquiry, owner: User) -> None:
    """A mail in the thread with a picture and a file, one that waits to be sorted, and the folder they came from."""
    MailFolder.objects.create(name="Inbox", uid_validity=1, last_uid=2, looked_at=NOON, trouble="x")
    picture = BytesIO()
    Image.new("RGB", (500, 300), "#ddc").save(picture, "PNG")
    for number, place in enumerate((ReceivedMail.Place.JOINED, ReceivedMail.Place.GUESSED)):
        mail = ReceivedMail.objects.create(
            key=f"{inquiry.pk:062}{number:02}",
            header_id=f"<{inquiry.pk}.{number}@post.example>",
            sha256=keep_message(b"From: x\n\nx").sha256,
            bytes=10,
            sort=ReceivedMail.Sort.PERSON,
            why="x",
            place=place,
            guess=inquiry if number else None,
            guess_why="x" if number else "",
            message=None if number else inquiry.messages.filter(ours=False).get(),
            from_name="x",
            from_email="x@post.example",
            to="x",
            subject="x",
            body="x",
            quoted="x",
            html="<p>x</p>",
            written_at=NOON,
            received_at=NOON,
            seen_at=NOON,
        )
        for position, data in enumerate((picture.getvalue(), b"%PDF-1.7")):
            Attachment.objects.create(
                mail=mail,
                position=position,
                name="x",
                declared_type="x",
                real_type="x",
                sha256=keep_file(data).sha256,
                bytes=len(data),
                trouble="x",
                prints=Attachment.Prints.NONE if position else Attachment.Prints.READY,
                token=f"{mail.pk:031}{position}",
            )
        make_prints(file_path(keep_file(picture.getvalue()).sha256), f"{mail.pk:031}0", many=True)


def know(contact: Contact, owner: User) -> None:
    """All that hangs from a person; somebody was merged into them, and another only looks alike."""
    OtherAddress.objects.create(contact=contact, email="other@world.example")
    PostalAddress.objects.create(contact=contact, label="Workshop", lines="2 Mill Lane", country="US")
    OwnedPiece.objects.create(contact=contact, what="A parlour guitar", note="x", noted_at=NOON)
    merge(contact, ContactFactory(note="x", address="4 Mill Lane"), by=owner, at=NOON)
    tell_apart(contact, ContactFactory(), by=owner, at=NOON)


def offer(inquiry: Inquiry, owner: User) -> None:
    """What was declined, and what is open whenever the test runs."""
    for number in range(2):
        made = Offer.objects.create(
            inquiry=inquiry,
            instrument=inquiry.instrument,
            amount=Decimal(11000),
            currency="USD",
            trade_in="x",
            trade_in_value=Decimal(900),
            asked=Decimal(12500),
            until=NOON + 36_000 * DAY,
            note="x",
            at=NOON,
            by=owner,
            entry=f"{inquiry.pk}-{number}",
        )
        if not number:
            OfferEnd.objects.create(offer=made, how=OfferEnd.How.DECLINED, reason="x", at=NOON, by=owner)


def hold(inquiry: Inquiry, owner: User, state: str) -> Hold:
    """A hold long enough to run whenever the test runs."""
    queued = state == Hold.State.QUEUED
    start = NOON + (36_000 * DAY if queued else timedelta(0))
    return Hold.objects.create(
        instrument=inquiry.instrument,
        inquiry=inquiry,
        contact=inquiry.contact,
        state=state,
        hours=48,
        asked_at=NOON,
        starts_at=start,
        until=start + 36_000 * DAY,
        by=owner,
    )


def sell(instrument: Instrument, owner: User) -> tuple[Sale, Receipt]:
    """The whole of a closed sale."""
    inquiry = InquiryFactory(instrument=instrument)
    speak(inquiry, owner)
    sale = Sale.objects.create(
        number="2026-001",
        instrument=instrument,
        inquiry=inquiry,
        contact=inquiry.contact,
        currency="USD",
        approval_hours=48,
        opened_at=NOON - 9 * DAY,
        opened_by=owner,
        ended_at=NOON - 2 * DAY,
        outcome=Sale.Outcome.CLOSED,
    )
    row(sale, owner, LedgerRow.Kind.PRICE, Decimal(12500))
    payment = row(sale, owner, LedgerRow.Kind.PAYMENT, Decimal(-12500), method=LedgerRow.Method.WIRE)
    Clearing.objects.create(row=payment, by=owner, at=NOON - 8 * DAY)
    receipt = issue_receipt(payment, by=owner, at=NOON)
    shipment = Shipment.objects.create(
        sale=sale,
        carrier="Mule Train",
        currency="USD",
        by=owner,
        at=NOON - 7 * DAY,
        declared_value=Decimal(12500),
    )
    Delivery.objects.create(shipment=shipment, at=NOON - 5 * DAY, by=owner, noted_at=NOON - 5 * DAY)
    BorderCheck.objects.create(
        instrument=instrument,
        sale=sale,
        inputs={"From": "x", "To": "x"},
        lines=[],
        entry="x",
        by=owner,
        at=NOON,
    )
    Payout.objects.create(sale=sale, amount=Decimal(10000), currency="USD", method="wire", by=owner, at=NOON)
    return sale, receipt


def row(sale: Sale, owner: User, kind: str, amount: Decimal, method: str = "") -> LedgerRow:
    """One ledger row."""
    return LedgerRow.objects.create(
        sale=sale,
        kind=kind,
        amount=amount,
        currency="USD",
        method=method,
        by=owner,
        at=NOON - 8 * DAY,
        entry=f"{sale.pk}-{kind}",
    )


def recording_samples(tune: Recording) -> dict[str, str]:
    """The token stands in every address of a recording."""
    pages = ("change", "state", "move", "off", "back", "received", "captions", "chapters", "poster")
    return {
        "recording:token": tune.token,
        "recording:suffix": tune.played_suffix,
        **{f"recording-{page}:token": tune.token for page in pages},
    }


def mail_samples(inquiry: Inquiry) -> dict[str, object]:
    """The mail that waits to be sorted, and a picture that came with it."""
    mail = inquiry.guessed_mail.get()
    token = mail.attachments.get(position=0).token
    return {"mail": mail.pk, "mail-attachment:token": token, "mail-picture:token": token}


def want_samples(want: Want) -> dict[str, object]:
    """The wish, its first call, and the signed ends of its addresses."""
    call = Call.objects.get(want=want)
    return {
        "want": want.pk,
        "call": call.pk,
        "first": call.first_call_id,
        "want-confirm:token": token_for(want.pk, CONFIRM),
        "want-unsubscribe:token": token_for(want.pk, UNSUBSCRIBE),
    }


def sample_values(world: World) -> dict[str, Any]:
    """A value for every named part of an address."""
    return {
        "stock": world.listed.stock_id,
        "slug": world.listed.slug,
        "section": "identity",
        "token": world.photograph.token,
        "paper-change:token": world.listed.papers.get().token,
        "paper-file:token": world.listed.papers.get().token,
        **recording_samples(world.listed.recordings.get()),
        **mail_samples(world.inquiry),
        "mark": "drawn",
        "number": 1,
        "width": 400,
        "suffix": "jpg",
        "username": world.owner.username,
        "kind:slug": "banjo",
        "kind-sheet:slug": "banjo",
        "kind-sheet:what": "parts",
        "inquiry": world.inquiry.pk,
        "message": world.inquiry.messages.earliest("pk").pk,
        "contact": world.inquiry.contact_id,
        "other": NotTheSame.objects.get(first=world.inquiry.contact).second_id,
        "address": OtherAddress.objects.filter(contact=world.inquiry.contact).earliest("pk").pk,
        "place": PostalAddress.objects.filter(contact=world.inquiry.contact).earliest("pk").pk,
        "owned": OwnedPiece.objects.get(contact=world.inquiry.contact).pk,
        "merge": Merge.objects.get(kept=world.inquiry.contact).pk,
        "hold": world.inquiry.holds.get().pk,
        "offer": world.inquiry.offers.get(end__isnull=True).pk,
        "sale": world.sale.number,
        "receipt": world.receipt.number,
        "closed": ClosedDay.objects.create(day=NOON.date() + DAY, why="x").pk,
        "job": Job.objects.create(task="x", state=Job.State.FAILED, due=NOON).pk,
        "month": f"{NOON:%Y-%m}",
        "maker": world.listed.maker_id,
        "table": NumberTable.objects.filter(maker=world.listed.maker).values_list("pk", flat=True)[0],
        "model": world.listed.model_id,
        "claim": "rare",
        "material": Material.objects.earliest("pk").pk,
        "rule": BorderRule.objects.earliest("pk").pk,
        "check": BorderCheck.objects.get(sale=world.sale).pk,
        **want_samples(Want.objects.get(contact=world.inquiry.contact)),
        "phrase": SavedPhrase.objects.get().pk,
        "link": PictureLink.objects.get().pk,
        "pictures-for-you:token": PICTURE_TOKEN,
        "picture-for-you:token": PICTURE_TOKEN,
        "maker_slug": maker_places().slugs[world.listed.maker_id],
        "model_slug": model_places(world.listed.maker_id).slugs[world.listed.model_id],
    }
