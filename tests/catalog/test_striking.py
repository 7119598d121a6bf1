"""Evidence struck off: left out everywhere, kept on the books, confirmed with a reason, put back."""

from datetime import UTC, datetime
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.claims.queries import open_questions, record_of, with_claims
from catalog.claims.record import Verdict
from catalog.claims.rules import judge
from catalog.dating.queries import agreement_of, conclusion_of
from catalog.dating.rules import Agreement
from catalog.models import DatingEvidence, Instrument, Paper, Provenance
from catalog.striking import actions
from catalog.striking.models import IsStruckOff
from inquiries.answering.private import private_of
from shop.models import Entry, User
from shop.refusal import Refused
from tests.catalog.test_desk_rows import as_shown
from tests.factories import NOON, InquiryFactory, InstrumentFactory, ShopFactory

pytestmark = pytest.mark.django_db

MAY = datetime(2026, 5, 3, 12, tzinfo=UTC)
WHY = "Entered for another piece by mistake."
CARRIED = "The stated date, 1926, is carried by the evidence."
HELD_BACK = "The stated date, 1926, is not established while evidence that was struck off is looked into."


@pytest.fixture
def piece(db: None) -> Instrument:
    """A date that its number carries and its label contradicts; one owner, and a dealer between."""
    ShopFactory(guarantee="We stand behind it.")
    made = {"made": "1926", "made_edtf": "1926", "made_earliest": 1926, "made_latest": 1926}
    instrument = InstrumentFactory(listed=True, story="Made in 1926. From one owner.", **made)
    DatingEvidence.objects.create(
        instrument=instrument, kind="number", says="Rim number 9173", when="1926", source="The ledgers"
    )
    DatingEvidence.objects.create(
        instrument=instrument,
        kind="not-before",
        says="Label of 1931",
        when="not before 1931",
        note="Told by Pike",
    )
    letter = Paper.objects.create(
        instrument=instrument,
        kind="ownership",
        title="Her letter",
        copy="original",
        when="1927",
        received_at=NOON,
    )
    for position, entry in enumerate([
        {"kind": "sold-new", "when": "1927"},
        {"kind": "owned", "when": "1927 to 1980", "paper": letter},
        {"kind": "dealer", "when": "1950", "public": "A shop by the harbour", "private": "Ask Pike"},
    ]):  # fmt: skip
        Provenance.objects.create(instrument=instrument, position=position, **entry)
    return instrument


@pytest.fixture
def label(piece: Instrument) -> DatingEvidence:
    """The label, struck off."""
    row = DatingEvidence.objects.get(says="Label of 1931")
    actions.strike(row, by=None, at=MAY)
    return DatingEvidence.every.get(pk=row.pk)


def again(instrument: Instrument) -> Instrument:
    return with_claims(Instrument.objects.all()).get(pk=instrument.pk)


def section(instrument: Instrument, name: str = "dating") -> str:
    return reverse("record-section", args=[instrument.stock_id, name])


def deed(row: Any, what: str, name: str = "dating") -> str:
    return reverse(f"struck-{what}", args=[row.instrument.stock_id, name, row.pk])


def reason(row: Any, words: str = WHY) -> dict[str, str]:
    return {f"struck-{row.pk}-reason": words}


def words_of(client: Client, path: str) -> str:
    return " ".join(client.get(path).text.split())


@pytest.mark.parametrize(
    ("name", "told", "left"),
    [("dating", "Label of 1931", "Rim number 9173"), ("provenance", "1950: With", "1927")],
)
def test_what_is_removed_at_the_desk_is_struck_off(
    helpers_desk: Client, helper: User, piece: Instrument, name: str, told: str, left: str
) -> None:
    rows: Any = getattr(piece, name)
    place = rows.count() - 1
    row, wrong = rows.last(), {f"{name}-{place}-when": "1899", f"{name}-{place}-DELETE": "on"}
    typed = as_shown(helpers_desk, piece, name) | wrong
    assert helpers_desk.post(section(piece, name), typed).status_code == 302
    assert row not in rows.all()
    kept = type(row).every.get(pk=row.pk)
    assert (kept.struck_by, kept.when, kept.confirmed_at) == (helper, row.when, None), "as it stood before"
    page = words_of(helpers_desk, section(piece, name))
    assert f'id="struck-{row.pk}"' in page
    assert told in page.partition("Struck off</h3>")[2]
    assert f"Struck off by {helper}" in page
    history = Entry.objects.filter(about_id=piece.pk).latest("pk")
    assert left not in history.old
    assert (history.new, history.by) == ("", helper)
    assert told.split()[-1] in history.old


def test_it_is_left_out_of_all_that_is_told(client: Client, piece: Instrument, label: DatingEvidence) -> None:
    actions.strike(piece.provenance.get(kind="dealer"), by=None, at=MAY)
    assert conclusion_of(piece).span == (1926, 1926)
    page = words_of(client, piece.get_absolute_url())
    assert "Rim number 9173" in page
    assert "Label of 1931" not in page
    assert "harbour" not in page


def test_until_it_is_confirmed_nothing_is_supported_by_its_being_gone(
    owners_desk: Client, client: Client, piece: Instrument, label: DatingEvidence, owner: User
) -> None:
    assert agreement_of(piece) == Agreement.NOT_ESTABLISHED
    judged = judge("date", record_of(again(piece)))
    assert judged.verdict == Verdict.NOT_ESTABLISHED
    assert judged.why.startswith("“Label of 1931” was struck off the record on 3 May 2026")
    page = words_of(owners_desk, reverse("claims", args=[piece.stock_id]))
    assert f'{section(piece)}#struck-{label.pk}"' in page
    assert HELD_BACK in words_of(client, piece.get_absolute_url())
    opinion = "is given as our opinion"
    assert opinion in words_of(client, piece.get_absolute_url())

    answer = owners_desk.post(deed(label, "confirm"), reason(label))
    assert answer["Location"] == f"{section(piece)}#struck-{label.pk}"
    label.refresh_from_db()
    assert (label.struck_reason, label.confirmed_by) == (WHY, owner)
    assert judge("date", record_of(again(piece))).verdict == Verdict.SUPPORTED
    page = words_of(client, piece.get_absolute_url())
    assert CARRIED in page, "and no older page is kept"
    assert opinion not in page
    told = Entry.objects.get(field="dating evidence struck off")
    assert (told.new, told.by) == (f"Confirmed: {WHY}", owner)
    assert WHY in words_of(owners_desk, section(piece))


def test_a_claim_in_a_text_stays_open_until_then(piece: Instrument) -> None:
    dealer = piece.provenance.get(kind="dealer")
    owner_of = [one for one in open_questions(again(piece)) if one.found.claim == "one-owner"]
    assert owner_of[0].contradicted
    actions.strike(dealer, by=None, at=MAY)
    owner_of = [one for one in open_questions(again(piece)) if one.found.claim == "one-owner"]
    assert owner_of[0].judgement.rows[0] == ("1950: With a dealer", "provenance", f"struck-{dealer.pk}")
    actions.confirm(dealer, WHY, by=None, at=MAY)
    assert not [one for one in open_questions(again(piece)) if one.found.claim == "one-owner"]


def test_only_the_owner_confirms_and_never_without_a_reason(
    helpers_desk: Client, owners_desk: Client, label: DatingEvidence
) -> None:
    assert "Waits for the owner’s reason" in words_of(helpers_desk, section(label.instrument))
    assert helpers_desk.post(deed(label, "confirm"), reason(label)).status_code == 403
    answer = owners_desk.post(deed(label, "confirm"), reason(label, " "))
    assert "Say why, since this is kept" in answer.text
    answer = owners_desk.post(deed(label, "confirm"), reason(label, "x" * 301))
    assert "x" * 301 in answer.text, "what was typed stays"
    label.refresh_from_db()
    assert label.confirmed_at is None


def test_a_second_press_is_one_and_another_reason_is_refused(
    owners_desk: Client, label: DatingEvidence
) -> None:
    for _press in range(2):
        assert owners_desk.post(deed(label, "confirm"), reason(label)).status_code == 302
    assert Entry.objects.filter(field="dating evidence struck off").count() == 1
    answer = owners_desk.post(deed(label, "confirm"), reason(label, "Another one."))
    assert answer.status_code == 200
    label.refresh_from_db()
    assert label.struck_reason == WHY


def test_it_is_put_back_as_it_was(helpers_desk: Client, piece: Instrument, label: DatingEvidence) -> None:
    actions.confirm(label, WHY, by=None, at=MAY)
    for _press in range(2):
        assert helpers_desk.post(deed(label, "back"))["Location"] == section(piece)
    stands = piece.dating.get(says="Label of 1931")
    assert (stands.struck_at, stands.confirmed_at, stands.struck_reason) == (None, None, "")
    assert Entry.objects.filter(new__startswith="Put back: Label of 1931").count() == 1
    assert conclusion_of(piece).contradiction
    assert "Struck off</h3>" not in words_of(helpers_desk, section(piece))
    with pytest.raises(Refused, match="It was put back meanwhile"):
        actions.confirm(stands, WHY, by=None, at=MAY)


def test_it_is_not_put_back_where_it_would_name_a_person(helpers_desk: Client, piece: Instrument) -> None:
    entry = piece.provenance.get(kind="dealer")
    Provenance.objects.filter(pk=entry.pk).update(person="Orla Vandemoor")
    actions.strike(entry, by=None, at=MAY)
    Paper.objects.filter(instrument=piece).update(title="Letter of Orla Vandemoor", public=True)
    page = helpers_desk.post(deed(entry, "back", "provenance"), follow=True).text
    assert "It cannot be put back as it is: the title of a paper names “Orla”, who has not agreed" in page
    assert entry not in piece.provenance.all()


def test_another_record_or_section_knows_nothing_of_it(owners_desk: Client, label: DatingEvidence) -> None:
    other = InstrumentFactory()
    for stock, name in (
        (other.stock_id, "dating"),
        (other.stock_id, "provenance"),
        (1, "numbers"),
    ):
        path = reverse("struck-back", args=[stock, name, label.pk])
        assert owners_desk.post(path).status_code == 404


def test_nothing_of_it_is_ever_removed(label: DatingEvidence) -> None:
    for remove in (label.delete, DatingEvidence.objects.all().delete, Provenance.every.all().delete):
        with pytest.raises(IsStruckOff):
            remove()
    for wrong in ({"struck_reason": ""}, {"struck_reason": WHY, "struck_at": None}):
        with pytest.raises(IntegrityError), transaction.atomic():
            DatingEvidence.every.filter(pk=label.pk).update(confirmed_at=MAY, **wrong)


def test_what_is_private_of_it_stays_in_the_house(piece: Instrument, label: DatingEvidence) -> None:
    actions.strike(piece.provenance.get(kind="dealer"), by=None, at=MAY)
    actions.confirm(label, "Pike mixed up two labels.", by=None, at=MAY)
    known = repr(private_of(InquiryFactory(instrument=piece), [piece]))
    for words in ("Told by Pike", "Ask Pike", "Pike mixed up two labels."):
        assert words in known


def test_many_cost_no_more_queries_than_one(owners_desk: Client, label: DatingEvidence) -> None:
    counts = []
    owners_desk.get(section(label.instrument))
    for many in range(2):
        for n in range(4 * many):
            more = DatingEvidence.objects.create(
                instrument=label.instrument, kind="other", says=f"Stamp {n}", when="1930"
            )
            actions.strike(more, by=label.struck_by, at=MAY)
        with CaptureQueriesContext(connection) as queries:
            owners_desk.get(section(label.instrument))
        counts.append(len(queries))
    assert counts[0] == counts[1]
