"""The check of borders at the desk: on a record, on a sale, kept; the rules that the owner adds and retires."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.urls import reverse

from catalog.models import Finding, Instrument, Material, PartMaterial
from inquiries.borders.part_rules import TAKEN_LATER, UNDATED
from inquiries.borders.queries import rules_in_use, shipment_of, span_of
from inquiries.models import BorderCheck, BorderRule, RetiredRule, Sale, Shipment
from shop.facts import FactIsFixed
from shop.models import Entry, ShopProfile, User
from tests.factories import NOON, InquiryFactory, InstrumentFactory
from tests.inquiries.borders.shipped import shipped_rules
from tests.inquiries.steps import opened

pytestmark = pytest.mark.django_db

JOURNEY = {
    "leaving": "US",
    "entering": "GB",
    "purpose": "sale",
    "on": "2026-06-10",
    "goods": "fretted",
    "finish": "instrument",
}


@pytest.fixture
def desk(client: Client, owner: User) -> Client:
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def piece(profile: ShopProfile) -> Instrument:
    """A piece of c. 1931 with a board of Brazilian rosewood."""
    instrument: Instrument = InstrumentFactory(listed=True)
    part = instrument.kind.parts.get(slug="fingerboard")
    wood = Material.objects.get(name="Brazilian rosewood")
    PartMaterial.objects.create(instrument=instrument, part=part, material=wood, evidence="Pores")
    return instrument


def lines(answer: Any) -> dict[str, dict[str, Any]]:
    """Each line that is shown, by the law and what it is about."""
    assert answer.status_code == 200
    return {line["rule"]: line for _, _, group in answer.context["said"] for line in group}


def test_the_rules_in_the_database_are_those_of_the_file() -> None:
    by_key = {rule.key: rule for rule in rules_in_use()}
    assert set(by_key) == {rule.key for rule in shipped_rules()}
    for rule in shipped_rules():
        row = by_key[rule.key]
        assert (row.says, row.taxa, row.since, row.way) == (rule.says, rule.taxa, rule.since, rule.way)


def test_a_record_without_a_sale_is_checked_with_source_and_day_and_cautions_above_and_below(
    desk: Client, piece: Instrument
) -> None:
    path = reverse("border-check", args=[piece.stock_id])
    assert desk.get(path).context["said"] is None, "a journey is asked for first"
    answer = desk.get(path, JOURNEY)
    line = lines(answer)["nigra-pre-convention"]
    assert (line["verdict"], line["about"]) == ("needed", "Fingerboard: Brazilian rosewood")
    text = answer.content.decode()
    assert text.count("Ask the authority</b>") == 2
    assert line["source"] in text
    assert "Read on 2026-11-25" in text
    assert "no permit needed" not in text.lower()
    assert not BorderCheck.objects.exists(), "looking keeps nothing"


def test_a_doubtful_date_near_a_limit_is_asked_about(desk: Client, piece: Instrument) -> None:
    Instrument.objects.filter(pk=piece.pk).update(made="c. 1922", made_edtf="1922~")
    said = lines(desk.get(reverse("border-check", args=[piece.stock_id]), JOURNEY))
    assert said["hs-9706-90"]["verdict"] == "ask"
    assert "date of make" in said["hs-9706-90"]["missing"][0]
    Instrument.objects.filter(pk=piece.pk).update(made="1922", made_edtf="1922")
    said = lines(desk.get(reverse("border-check", args=[piece.stock_id]), JOURNEY))
    assert said["hs-9706-90"]["verdict"] == "class"


def test_a_board_put_on_later_is_not_as_old_as_the_piece(piece: Instrument) -> None:
    PartMaterial.objects.update(fitted="2001")
    item = shipment_of(piece, on=NOON.date(), leaving="US", entering="GB").items[0]
    assert item.fitted == span_of("2001")
    assert item.taken.latest == span_of("2001").latest
    row = PartMaterial.objects.get()
    row.when = "not after 1950"
    row.save()
    item = shipment_of(piece, on=NOON.date(), leaving="US", entering="GB").items[0]
    assert item.taken.latest is not None
    assert item.taken.latest.year == 1950


def test_a_later_part_without_a_date_is_asked_about_though_the_piece_is_old(
    desk: Client, piece: Instrument
) -> None:
    """An ivory nut found to be a later replacement, on a piece of 1910: nobody knows when it was put on."""
    Instrument.objects.filter(pk=piece.pk).update(made="1910", made_edtf="1910")
    row = PartMaterial.objects.get()
    ivory = Material.objects.get(species="Loxodonta")
    PartMaterial.objects.filter(pk=row.pk).update(material=ivory)
    path = reverse("border-check", args=[piece.stock_id])
    sure = lines(desk.get(path, JOURNEY))
    assert (sure["african-elephant-pre"]["verdict"], sure["esa-antique"]["verdict"]) == ("needed", "needed")
    for state in ("later", "period", "reproduction", "unknown"):
        Finding.objects.update_or_create(
            instrument=piece,
            part=row.part,
            defaults={"state": state, "seen": "eye", "examined_at": NOON, "when": ""},
        )
        said = lines(desk.get(path, JOURNEY))
        for rule in ("african-elephant-pre", "african-elephant", "esa-antique", "esa-listed"):
            assert said[rule]["verdict"] == "ask", (state, rule)
            assert UNDATED in said[rule]["missing"], (state, rule)
    found = Finding.objects.get()
    found.when = "1921"
    found.save()
    said = lines(desk.get(path, JOURNEY))
    assert said["african-elephant-pre"]["verdict"] == "needed", "the finding has the date of the work"
    assert said["african-elephant-pre"]["missing"] == []


def test_a_material_taken_after_the_piece_was_made_is_said_to_contradict_it(
    desk: Client, piece: Instrument
) -> None:
    row = PartMaterial.objects.get()
    row.when = "1995"
    row.save()
    said = lines(desk.get(reverse("border-check", args=[piece.stock_id]), JOURNEY))
    for rule in ("nigra-permit", "nigra-pre-convention"):
        assert said[rule]["missing"] == [TAKEN_LATER]
    assert said["nigra-permit"]["verdict"] == "refused", "1995 is not before 11 June 1992"
    assert said["nigra-pre-convention"]["verdict"] == "none"


def test_a_kept_check_stands_as_it_was_whatever_comes_after(
    desk: Client, piece: Instrument, owner: User
) -> None:
    path = reverse("border-check", args=[piece.stock_id])
    entry = str(desk.get(path, JOURNEY).context["form"].initial["entry"])
    for _ in range(2):
        answer = desk.post(path, {**JOURNEY, "entry": entry})
        assert answer.status_code == 302
    kept = BorderCheck.objects.get()
    assert (kept.inputs["To"], kept.inputs["Date of make"]) == ("United Kingdom", "c. 1931")
    assert Entry.objects.get(verb="checked for borders").by == owner
    PartMaterial.objects.all().delete()
    shown = lines(desk.get(answer["Location"]))
    assert shown["nigra-pre-convention"]["verdict"] == "needed"
    with pytest.raises(FactIsFixed):
        kept.save()
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE inquiries_bordercheck SET entry = 'y'")


def test_a_sale_proposes_the_buyers_country_and_keeps_its_check(desk: Client, piece: Instrument) -> None:
    inquiry = InquiryFactory(instrument=piece, contact__country="DE")
    sale = Sale.objects.create(
        number="2026-007",
        instrument=piece,
        inquiry=inquiry,
        contact=inquiry.contact,
        currency="USD",
        approval_hours=48,
        opened_at=NOON - timedelta(days=1),
    )
    path = reverse("sale-border-check", args=[sale.number])
    form = desk.get(path).context["form"]
    assert (form.initial["leaving"], form.initial["entering"]) == ("US", "DE")
    assert lines(desk.get(path, {**JOURNEY, "entering": "DE"}))["nigra-eu-import"]["verdict"] == "refused"
    desk.post(path, {**JOURNEY, "entering": "DE", "entry": str(form.initial["entry"])})
    assert BorderCheck.objects.get().sale == sale
    assert path in desk.get(sale.get_absolute_url()).content.decode()


@pytest.mark.parametrize(("carrier", "proposed"), [("Mule Train", "GB"), ("", "DE")])
def test_a_sale_that_was_sent_proposes_where_its_parcel_went(
    desk: Client, piece: Instrument, carrier: str, proposed: str
) -> None:
    """Collected in the shop, the buyer carries it home."""
    sale = opened(instrument=piece, contact__country="DE")
    Shipment.objects.create(sale=sale, carrier=carrier, country="GB", currency="USD", at=NOON)
    form = desk.get(reverse("sale-border-check", args=[sale.number])).context["form"]
    assert form.initial["entering"] == proposed


def test_what_cannot_be_read_keeps_nothing_and_stays_as_typed(desk: Client, piece: Instrument) -> None:
    path = reverse("border-check", args=[piece.stock_id])
    answer = desk.post(path, {**JOURNEY, "kilograms": "heavy", "entry": "0" * 32})
    assert answer.context["form"].errors["kilograms"]
    assert 'value="heavy"' in answer.content.decode()
    assert not BorderCheck.objects.exists()


RULE = {
    "law": "Law of the Isles",
    "says": "A paper of the harbour master.",
    "sort": "plant",
    "way": "entering",
    "countries": "GB",
    "outcome": "needed",
    "unless": "over 200 years old\r\nup to 10 kg",
    "source": "The gazette, page 3",
    "read_on": "2026-06-01",
    "certainty": "read",
}


def test_the_owner_adds_a_rule_that_the_next_check_tries_and_retires_it(
    desk: Client, piece: Instrument
) -> None:
    assert desk.post(reverse("border-rule-add"), RULE).status_code == 302
    rule = BorderRule.objects.get(law="Law of the Isles")
    path = reverse("border-check", args=[piece.stock_id])
    assert lines(desk.get(path, {**JOURNEY, "kilograms": "12"}))[rule.key]["verdict"] == "needed"
    assert lines(desk.get(path, JOURNEY))[rule.key]["verdict"] == "ask"
    desk.post(reverse("border-rule-retire", args=[rule.pk]), {"why": " "})
    assert not RetiredRule.objects.exists(), "nobody has said why"
    for _ in range(2):
        desk.post(reverse("border-rule-retire", args=[rule.pk]), {"why": "A newer gazette"})
    assert RetiredRule.objects.get().why == "A newer gazette"
    assert rule.key not in lines(desk.get(path, JOURNEY))
    assert "A newer gazette" in desk.get(reverse("border-rules")).content.decode()


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"unless": "rather old"}, "unless"),
        ({"source": ""}, "source"),
        ({"read_on": ""}, "read_on"),
        ({"since": "2020-01-01", "until": "2020-01-01"}, "until"),
    ],
)
def test_a_rule_that_cannot_be_read_or_has_no_source_is_refused(
    desk: Client, profile: ShopProfile, wrong: dict[str, str], field: str
) -> None:
    answer = desk.post(reverse("border-rule-add"), RULE | wrong)
    assert answer.status_code == 200
    assert answer.context["form"].errors[field]
    assert not BorderRule.objects.filter(law="Law of the Isles").exists()
