"""A small shop with one row of everything, for tests that look at every address."""

from dataclasses import dataclass
from datetime import time
from decimal import Decimal
from io import BytesIO
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from catalog.instruments.addresses import maker_places, model_places
from catalog.models import (
    Acquisition,
    Agreement,
    AgreementTier,
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
    Work,
)
from catalog.papers.actions import add_paper
from catalog.recordings.actions import receive_recording
from catalog.recordings.tasks import prepare
from inquiries.models import (
    BorderCheck,
    BorderRule,
    Hold,
    Inquiry,
    IssuedPaper,
    Merge,
    NotTheSame,
    OtherAddress,
    OwnedPiece,
    PictureLink,
    PostalAddress,
    Sale,
    SavedPhrase,
    Want,
)
from shop.history.actions import record
from shop.models import ClosedDay, Job, OpenHours, User
from tests.factories import NOON, InquiryFactory, InstrumentFactory, OwnerFactory, PhotographFactory
from tests.support.sounds import wav
from tests.world_letters import (
    DAY,
    PICTURE_TOKEN,
    carriers,
    help_to_answer,
    hold,
    know,
    mail_samples,
    offer,
    policy,
    receive_mail,
    seek,
    sell,
    speak,
    take_back,
    tax,
    want_samples,
)
from tests.world_papers import issue, paper_samples


@dataclass
class World:
    """What was built, and a sample value for every part of every address."""

    owner: User
    listed: Instrument
    sold: Instrument
    inquiry: Inquiry
    sale: Sale
    receipt: IssuedPaper
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
    policy(owner)
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
    take_back(sold, owner)
    issue(inquiry, sale, owner)
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
    agreement = Agreement.objects.create(
        instrument=instrument,
        share=Agreement.Share.TIERED,
        least=Decimal(100),
        reserve=Decimal(9000),
        currency="USD",
        starts=NOON.date(),
        note="x",
        by=owner,
        at=NOON,
    )
    AgreementTier.objects.create(agreement=agreement, above=Decimal(0), percent=Decimal(20))
    AgreementTier.objects.create(agreement=agreement, above=Decimal(5000), percent=Decimal(15))
    Work.objects.create(
        instrument=instrument,
        kind=Work.Kind.SETUP,
        what="New frets",
        who="x",
        begun_on=NOON.date(),
        estimate=Decimal(250),
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
    struck = {"struck_at": NOON, "struck_by": owner, "struck_reason": "x"}
    DatingEvidence.objects.create(
        instrument=instrument,
        kind=DatingEvidence.Kind.OTHER,
        says="Label of another piece",
        when="1950",
        note="x",
        confirmed_at=NOON,
        confirmed_by=owner,
        **struck,
    )
    Provenance.objects.create(
        instrument=instrument,
        when="1966",
        kind="dealer",
        public="A shop by the harbour",
        private="x",
        **struck,
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


def recording_samples(tune: Recording) -> dict[str, str]:
    """The token stands in every address of a recording."""
    pages = ("change", "state", "move", "off", "back", "received", "captions", "chapters", "poster")
    return {
        "recording:token": tune.token,
        "recording:suffix": tune.played_suffix,
        **{f"recording-{page}:token": tune.token for page in pages},
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
        "row": world.sale.rows.earliest("pk").pk,
        "receipt": world.receipt.number,
        **paper_samples(world.sale),
        "sale-photograph:picture": world.sale.parcel_pictures.get().pk,
        "sale-photograph-original:picture": world.sale.parcel_pictures.get().pk,
        "closed": ClosedDay.objects.create(day=NOON.date() + DAY, why="x").pk,
        "job": Job.objects.create(task="x", state=Job.State.FAILED, due=NOON).pk,
        "month": f"{NOON:%Y-%m}",
        "maker": world.listed.maker_id,
        "struck-confirm:section": "dating",
        "struck-back:section": "dating",
        "evidence": DatingEvidence.every.get(instrument=world.listed, struck_at=NOON).pk,
        "table": NumberTable.objects.filter(maker=world.listed.maker).values_list("pk", flat=True)[0],
        "model": world.listed.model_id,
        "work": world.listed.works.get().pk,
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
