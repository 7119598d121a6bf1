"""What people write, ask, hold and buy: the rows of correspondence and sales in the small shop of tests/world.py."""

from datetime import timedelta
from decimal import Decimal
from io import BytesIO

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from catalog.models import Instrument
from catalog.pictures.intake import keep
from catalog.pictures.prints import make_prints
from inquiries.answering.actions import hashed
from inquiries.mail.keeping import file_path, keep_file, keep_message
from inquiries.models import (
    Attachment,
    BankStep,
    BorderCheck,
    Call,
    CarrierRule,
    CashLimit,
    Clearing,
    Contact,
    Delivery,
    Exchange,
    FirstCall,
    Hold,
    HoldNotice,
    Inquiry,
    Inspection,
    InspectionLine,
    IssuedPaper,
    LedgerRow,
    Loss,
    MailFolder,
    Message,
    Offer,
    OfferEnd,
    OtherAddress,
    OwnedPiece,
    ParcelPicture,
    Payout,
    PictureLink,
    PostalAddress,
    Posting,
    ReceivedMail,
    ReturnCall,
    ReturnDropped,
    Sale,
    SavedPhrase,
    Shipment,
    TaxPolicy,
    TaxRate,
    Want,
)
from inquiries.papers.receipts import issue_receipt
from inquiries.people.merge_actions import merge, tell_apart
from inquiries.threads import turns
from inquiries.wants.links import CONFIRM, UNSUBSCRIBE, token_for
from shop.models import HousePolicy, User
from tests.factories import NOON, ContactFactory, InquiryFactory
from tests.world_terms import terms

DAY = timedelta(days=1)
PICTURE_TOKEN = "pictures-for-the-buyer"


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


def policy(owner: User) -> None:
    """A house policy in force for long."""
    HousePolicy.objects.create(
        starts=(NOON - 3000 * DAY).date(),
        surcharge_percent=Decimal(3),
        surcharge_source="x",
        declared_limit=Decimal(20000),
        note="x",
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
    """A hold long enough to run whenever the test runs, of which its person was told by telephone."""
    queued = state == Hold.State.QUEUED
    start = NOON + (36_000 * DAY if queued else timedelta(0))
    made = Hold.objects.create(
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
    HoldNotice.objects.create(
        hold=made,
        what=HoldNotice.What.PLACED,
        channel=Message.Channel.TELEPHONE,
        note="x",
        starts_at=made.starts_at,
        until=made.until,
        by=owner,
        at=NOON,
    )
    return made


def sell(instrument: Instrument, owner: User) -> tuple[Sale, IssuedPaper]:
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
    post_all_of(sale, payment, owner)
    receipt = issue_receipt(payment, by=owner, at=NOON)
    shipment = Shipment.objects.create(
        sale=sale,
        collected_by="x",
        identity="x",
        handed_by=owner,
        currency="USD",
        by=owner,
        at=NOON - 7 * DAY,
        declared_value=Decimal(12500),
    )
    Delivery.objects.create(shipment=shipment, at=NOON - 5 * DAY, by=owner, noted_at=NOON - 5 * DAY)
    Loss.objects.create(shipment=shipment, what="x", claim="x", by=owner, at=NOON - 6 * DAY)
    packed(sale, owner)
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


def packed(sale: Sale, owner: User) -> None:
    """A photograph taken before sealing, with its file."""
    plate = BytesIO()
    Image.new("RGB", (320, 240), "#a86").save(plate, "PNG")
    kept = keep(SimpleUploadedFile("open-carton.png", plate.getvalue()))
    ParcelPicture.objects.create(
        sale=sale,
        original_name="x",
        sha256=kept.sha256,
        suffix=kept.suffix,
        bytes=kept.bytes,
        caption="x",
        by=owner,
        at=NOON - 7 * DAY,
    )


def take_back(instrument: Instrument, owner: User) -> None:
    """An earlier sale of the same piece, which came back."""
    inquiry = InquiryFactory(instrument=instrument)
    sale = Sale.objects.create(
        number="2025-001",
        instrument=instrument,
        inquiry=inquiry,
        contact=inquiry.contact,
        currency="USD",
        approval_hours=48,
        stage="RETURNED",
        opened_at=NOON - 90 * DAY,
        ended_at=NOON - 80 * DAY,
        outcome=Sale.Outcome.RETURNED,
        reason="x",
    )
    early = ReturnCall.objects.create(
        sale=sale, said_at=NOON - 86 * DAY, why="x", late_reason="x", by=owner, at=NOON - 86 * DAY
    )
    ReturnDropped.objects.create(call=early, why="x", by=owner, at=NOON - 85 * DAY)
    inspection = Inspection.objects.create(
        sale=sale, came_at=NOON - 82 * DAY, verdict="differs", note="x", by=owner, at=NOON - 82 * DAY
    )
    InspectionLine.objects.create(inspection=inspection, what="x", recorded="x", alike=False, note="x")
    terms(sale, owner)


def post_all_of(sale: Sale, payment: LedgerRow, owner: User) -> None:
    """A payment came in another currency, was shown by the bank, and moved from one account to another."""
    Exchange.objects.create(
        row=payment,
        amount=Decimal(11000),
        currency="EUR",
        rate=Decimal("1.13636364"),
        quoted_on=NOON.date() - 9 * DAY,
        source="x",
    )
    BankStep.objects.create(
        row=payment,
        step=BankStep.Step.SHOWN,
        on=NOON.date() - 8 * DAY,
        note="x",
        by=owner,
        at=NOON - 8 * DAY,
    )
    Posting.objects.create(
        sale=sale,
        row=payment,
        debit=Posting.Account.RECEIVED,
        credit=Posting.Account.BUYER,
        minor=1250000,
        currency="USD",
        at=NOON - 8 * DAY,
    )


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
