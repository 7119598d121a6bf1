"""The audit finds each thing that can be wrong, by exactly that thing broken past all guards; and nothing else."""

import os
import re
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.models import Paper, Photograph, Recording
from catalog.papers.intake import received_path
from catalog.pictures.intake import original_path
from catalog.recordings.intake import recording_path
from inquiries.audit.actions import audit, audit_and_keep, made_lately
from inquiries.audit.checks import CHECKS
from inquiries.audit.rules import Place, broken_queue, copy_in_order, missing_numbers
from inquiries.audit.tidying import tidy
from inquiries.mail.keeping import file_path, keep_file, message_path
from inquiries.models import Attachment, Hold, IssuedPaper, Offer, ReceivedMail
from inquiries.papers.filing import file_of
from inquiries.sales.rules import Stage
from shop.jobs.models import Job
from shop.keeping import keep_bytes
from shop.models import User
from tests.factories import NOON
from tests.inquiries.conftest import Clock

AT = NOON + timedelta(minutes=10)
GUARDED = (
    "inquiries_ledgerrow", "inquiries_issuedpaper", "inquiries_clearing", "inquiries_payout", "inquiries_shipment",
    "inquiries_delivery", "inquiries_offerend", "shop_entry", "catalog_cost", "inquiries_posting",
)  # fmt: skip
INDEXES = ("one_open_sale", "sold_once", "one_active_hold", "one_place_in_the_queue")


def unguarded() -> None:
    """Take away what keeps the database from being wrong, until the transaction is undone."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE; SET CONSTRAINTS ALL DEFERRED")
        else:
            cursor.execute("PRAGMA ignore_check_constraints = ON")
        for table in GUARDED:
            where = f" ON {table}" if connection.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER IF EXISTS {table}_fixed{where}")
        for name in INDEXES:
            cursor.execute(f"DROP INDEX IF EXISTS {name}")
        if connection.vendor == "postgresql":
            for table in (*GUARDED, "inquiries_sale", "inquiries_hold"):
                cursor.execute(
                    "SELECT conname FROM pg_constraint WHERE conrelid = %s::regclass AND contype = 'c'",
                    [table],
                )
                for (name,) in cursor.fetchall():
                    cursor.execute(f'ALTER TABLE {table} DROP CONSTRAINT "{name}"')


# What is done to the rows, and what the audit must say of it. “{…}” is the number of that sale, or of that piece.
BREAKS: dict[str, tuple[str, str]] = {
    "copy of the stage": (
        "UPDATE inquiries_sale SET stage = 'PAID' WHERE number = '{open}'",
        r"Sale {open}: it is stored as “Paid in full”, and its rows say “Deposit taken”",
    ),
    "stage of an ended sale": (
        "UPDATE inquiries_sale SET stage = 'APPROVED' WHERE number = '{sold}'",
        r"Sale {sold}: it is stored as “Approval over”, and its rows say “Closed”",
    ),
    "ledger of an ended sale": (
        "UPDATE inquiries_ledgerrow SET amount = amount + 1 WHERE kind = 'price' AND sale_id = {sold id}",
        r"Sale {sold}: it has ended, and its ledger still comes to \$1",
    ),
    "more paid back": (
        "UPDATE inquiries_ledgerrow SET amount = 90000 WHERE kind = 'refund' AND sale_id = {off id}",
        r"Sale {off}: more was paid back than was ever received",
    ),
    "currency of a row": (
        "UPDATE inquiries_ledgerrow SET currency = 'EUR' WHERE kind = 'price' AND sale_id = {open id}",
        r"Sale {open}: row \d+ \(Price .*\): it is in EUR, the sale in USD",
    ),
    "half a cent": (
        "UPDATE inquiries_ledgerrow SET amount = amount + 0.005 WHERE kind = 'price' AND sale_id = {open id}",
        r"Sale {open}: row \d+ .*: USD has no such fraction",
    ),
    "a reversal that undoes less": (
        "UPDATE inquiries_ledgerrow SET amount = 2400 WHERE kind = 'reversal' AND sale_id = {open id}",
        r"Sale {open}: row .*it is not the opposite of the row that it undoes",
    ),
    "a receipt lost": (
        "DELETE FROM inquiries_issuedpaper WHERE kind = 'receipt' AND sale_id = {off id}",
        r"Sale {off}: row .*money was received without a receipt",
    ),
    "a receipt of another sale": (
        "UPDATE inquiries_issuedpaper SET sale_id = {sold id} WHERE kind = 'receipt' AND sale_id = {off id}",
        r"Sale {off}: row .*receipt R2026-\d+ is not of this amount",
    ),
    "no price": (
        "DELETE FROM inquiries_ledgerrow WHERE kind = 'price' AND sale_id = {open id}",
        r"Sale {open}: no price stands in its ledger",
    ),
    "a row lost": (
        "DELETE FROM inquiries_ledgerrow WHERE kind = 'price' AND sale_id = {open id}",
        r"Sale {open}: “added” stands \d times in its history and \d times in the books",
    ),
    "history lost": (
        "DELETE FROM shop_entry WHERE about = 'sale' AND verb = 'closed' AND about_id = {sold id}",
        r"Sale {sold}: “closed” stands 0 times in its history and 1 times in the books",
    ),
    "history of a hold lost": (
        "DELETE FROM shop_entry WHERE about = 'hold' AND verb = 'placed' AND about_id = {hold id}",
        r"Hold {hold id}: “placed” stands 0 times in its history and 1 times in the books",
    ),
    "a posting lost": (
        "DELETE FROM inquiries_posting WHERE debit = 'sales' AND sale_id = {off id}",
        r"Sale {off}: Sale {off}, account “.*”: it holds .* and should hold",
    ),
    "a posting of another amount": (
        "UPDATE inquiries_posting SET minor = minor + 1 WHERE debit = 'buyer' AND sale_id = {open id}",
        r"Sale {open}: Sale {open}, account “buyer”: it holds .* and should hold",
    ),
    "two open sales": (
        "UPDATE inquiries_sale SET ended_at = NULL, outcome = '', instrument_id = {open piece} "
        "WHERE number = '{off}'",
        r"No. {open stock}: it is listed, with 2 open and 0 closed sales",
    ),
    "closed, and not sold": (
        "UPDATE catalog_instrument SET state = 'listed', sold_at = NULL WHERE id = {sold piece}",
        r"No. {sold stock}: it is listed, with 0 open and 1 closed sales",
    ),
    "sold without a sale": (
        "UPDATE catalog_instrument SET state = 'sold', sold_at = listed_at WHERE id = {off piece}",
        r"No. {off stock}: it is sold, with 0 open and 0 closed sales",
    ),
    "in a sale, and withdrawn": (
        "UPDATE catalog_instrument SET state = 'withdrawn' WHERE id = {open piece}",
        r"No. {open stock}: it is withdrawn, with 1 open and 0 closed sales",
    ),
    "a sale of somebody else": (
        "UPDATE inquiries_sale SET contact_id = (SELECT contact_id FROM inquiries_sale WHERE number = '{sold}') "
        "WHERE number = '{open}'",
        r"No. {open stock}: a sale began without a hold of its buyer",
    ),
    "a hold without its sale": (
        "UPDATE inquiries_hold SET state = 'sale', ended_at = until WHERE id = {hold id}",
        r"No. {held stock}: a hold became a sale, and there is none",
    ),
    "delivered before sent": (
        "UPDATE inquiries_shipment SET at = '2026-06-30 12:00:00' WHERE sale_id = {over id}",
        r"Sale {over}: it was delivered before it was sent",
    ),
    "closed, never sent": (
        "DELETE FROM inquiries_delivery WHERE shipment_id IN "
        "(SELECT id FROM inquiries_shipment WHERE sale_id = {sold id}); "
        "DELETE FROM inquiries_shipment WHERE sale_id = {sold id}",
        r"Sale {sold}: it has ended as if the buyer had it, and it was never sent",
    ),
    "paid out too early": (
        "UPDATE inquiries_payout SET sale_id = {open id} WHERE sale_id = {share id}",
        r"Sale {open}: its consignor was paid, though it did not close",
    ),
    "two active holds": (
        "UPDATE inquiries_hold SET state = 'active' WHERE instrument_id = {held piece}",
        r"No. {held stock}: more than one hold runs",
    ),
    "two promises at once": (
        "UPDATE inquiries_hold SET starts_at = '2026-06-10 11:00:00' WHERE instrument_id = {held piece}",
        r"No. {held stock}: it is promised to more than one person now",
    ),
    "a queue with a hole": (
        "UPDATE inquiries_hold SET until = '2026-12-30 12:00:00' WHERE id = {hold id}",
        r"No. {held stock}: the time of .* does not begin where that of .* ends",
    ),
    "a hold of other length": (
        "UPDATE inquiries_hold SET until = '2026-12-30 12:00:00' WHERE id = {hold id}",
        r"No. {held stock}: the time of .* is not the \d+ hours that were promised",
    ),
    "a time behind a sale": (
        "UPDATE inquiries_hold SET starts_at = '2026-12-30 12:00:00', until = '2026-12-31 12:00:00' "
        "WHERE instrument_id = {open piece} AND state = 'queued'",
        r"No. {open stock}: hold .* has a time, though it is in a sale",
    ),
    "no time, and no sale": (
        "UPDATE inquiries_hold SET starts_at = NULL, until = NULL "
        "WHERE instrument_id = {held piece} AND state = 'queued'",
        r"No. {held stock}: .* waits without a time, though no sale stands in the way",
    ),
    "held, and withdrawn": (
        "UPDATE catalog_instrument SET state = 'withdrawn' WHERE id = {held piece}",
        r"No. {held stock}: it is withdrawn, and hold {hold id} promises it",
    ),
    "a hold left running": (
        "UPDATE inquiries_hold SET starts_at = '2026-06-01 12:00:00', until = '2026-06-03 12:00:00' "
        "WHERE id = {hold id}",
        r"No. {held stock}: hold {hold id} has ended, and the books do not say so yet",
    ),
    "accepted without a hold": (
        "UPDATE inquiries_offerend SET hold_id = {hold id}",
        r"No. {offer stock}: an offer was accepted without a hold of its person",
    ),
    "a stock number nobody bears": (
        "INSERT INTO catalog_stocknumber (number, given_at) VALUES (777, '2026-06-01 12:00:00')",
        r"No. 777: the number was given, and no piece bears it",
    ),
    "a stock number missing": (
        "UPDATE shop_series SET last = last + 2 WHERE name = 'stock'",
        r"Numbers, stock: \d+, \d+ is missing of those up to \d+",
    ),
    "a receipt missing": (
        "DELETE FROM inquiries_issuedpaper WHERE kind = 'receipt' AND sale_id = {off id}",
        r"Papers, receipt 2026: \d+ is missing of those issued",
    ),
    "a number of a sale missing": (
        "UPDATE inquiries_sale SET number = '2026-900' WHERE id = {off id}",
        r"Numbers, sale 2026: \d+ is missing of those up to \d+",
    ),
    "a number that was never given": (
        "UPDATE inquiries_sale SET number = '2026-900' WHERE id = {off id}",
        r"Numbers, sale 2026: 900 is beyond the last one given",
    ),
    "sold, from nobody": (
        "DELETE FROM catalog_acquisition WHERE instrument_id = {sold piece}",
        r"No. {sold stock}: it was sold, and the record does not say from whom it came",
    ),
    "a purchase written down later": (
        "UPDATE catalog_cost SET amount = amount + 60 WHERE kind = 'purchase' AND instrument_id = {sold piece}",
        r"No. {sold stock}: the tax on its margin is \$1,406.67, and \$1,416.67 was booked\. What was booked",
    ),
    "what stands on a paper": (
        "UPDATE inquiries_issuedpaper SET content = '{}' WHERE version = 1",
        r"Quotation Q2026-0001: what stands on it is not what was issued",
    ),
    "a paper missing": (
        "UPDATE shop_series SET last = 3 WHERE name = 'quotation 2026'",
        r"Papers, quotation 2026: 2, 3 is missing of those issued",
    ),
    "a version missing": (
        "UPDATE inquiries_issuedpaper SET version = 3 WHERE version = 2",
        r"Quotation Q2026-0001, version 3: it does not cancel the version before it",
    ),
    "whose turn": (
        "UPDATE inquiries_inquiry SET waiting_since = NULL WHERE instrument_id = {held piece}",
        r"Thread \d+: the inbox does not say what its messages say",
    ),
    "last word": (
        "UPDATE inquiries_inquiry SET last_at = '2026-01-01 12:00:00' WHERE instrument_id = {held piece}",
        r"Thread \d+: the inbox does not say what its messages say",
    ),
    "work given up": (
        "UPDATE shop_job SET state = 'failed', error = 'Fault: the disk is full', tries = 6 "
        "WHERE task LIKE '%%prepare'",
        r"Work \d+ \(.*\): it was given up after 6 tries: the disk is full",
    ),
    "work left": (
        "UPDATE shop_job SET due = '2026-06-01 12:00:00' WHERE task LIKE '%%prepare'",
        r"Work \d+ \(.*\): it should have been done at 2026-06-01 12:00 UTC",
    ),
}  # fmt: skip


def words(shop: dict[str, Any]) -> dict[str, Any]:
    """Numbers and keys by the names that the table above uses."""
    known: dict[str, Any] = {"hold id": Hold.objects.get(state="active", instrument=shop["held"]).pk}
    for name in ("open", "over", "sold", "share", "off"):
        sale = shop[name]
        known |= {name: sale.number, f"{name} id": sale.pk}
        known |= {f"{name} piece": sale.instrument_id, f"{name} stock": sale.instrument.stock_id}
    known |= {"held piece": shop["held"].pk, "held stock": shop["held"].stock_id}
    known["offer stock"] = Offer.objects.get().instrument.stock_id
    return known


def filled(text: str, known: dict[str, Any]) -> str:
    return re.sub(r"\{([a-z ]+)\}", lambda found: str(known[found[1]]), text)


def said(at: datetime = AT) -> list[str]:
    return [str(found) for found in audit(at=at)]


def test_a_shop_in_good_order_adds_up_and_each_thing_that_is_broken_is_named(shop: dict[str, Any]) -> None:
    known = words(shop)
    assert said() == []

    unnamed = {}
    for name, (broken, expected) in BREAKS.items():
        with transaction.atomic():
            unguarded()
            with connection.cursor() as cursor:
                for statement in filled(broken, known).split("; "):
                    cursor.execute(statement.replace("%%", "%"))
                    assert cursor.rowcount, name
            found = said()
            transaction.set_rollback(True)
        if connection.vendor == "sqlite":
            connection.cursor().execute("PRAGMA ignore_check_constraints = OFF")
        if not any(re.match(filled(expected, known), line) for line in found):
            unnamed[name] = found

    assert unnamed == {}
    assert said() == []


def test_what_lags_by_the_clock_alone_is_in_order(shop: dict[str, Any]) -> None:
    over = shop["over"]

    assert over.stage == "APPROVAL"
    assert [line for line in said(AT + timedelta(days=3)) if over.number in line] == []


@pytest.mark.parametrize(
    ("stored", "computed", "fine"),
    [
        ("DEPOSIT", Stage.DEPOSIT, True),
        ("APPROVAL", Stage.APPROVED, True),
        ("APPROVED", Stage.APPROVAL, False),
        ("SHIPPED", Stage.APPROVED, False),
        ("APPROVAL", Stage.CLOSED, False),
        ("", Stage.DEPOSIT, False),
    ],
)
def test_which_copy_of_a_stage_is_in_order(stored: str, computed: Stage, fine: bool) -> None:
    """Common practice, no source: a copy may lag by what the clock alone does."""
    assert copy_in_order(stored, computed) is fine


def test_numbers_that_are_missing() -> None:
    assert missing_numbers([1, 2, 5, 9], first=1, last=6) == [3, 4, 6]
    assert missing_numbers([], first=1001, last=0) == []


def test_a_hold_over_the_change_of_the_clocks_lasts_the_hours_that_were_promised() -> None:
    """In New York 8 March 2026 has 23 hours: 48 hours from the 7th end an hour later by the clock."""
    start = datetime(2026, 3, 7, 17, tzinfo=UTC)
    late = Place("Nell", True, 48, start, start + timedelta(hours=48))
    assert broken_queue([late], behind_sale=False) == []
    assert broken_queue([late._replace(until=start + timedelta(hours=47))], behind_sale=False) != []


FILES: dict[str, Callable[[], Path]] = {
    "No. .*, photograph red.jpg": lambda: original_path(
        *Photograph.objects.values_list("sha256", "suffix").get()
    ),
    "No. .*, recording tune.wav": lambda: recording_path(
        *Recording.objects.values_list("sha256", "suffix").get()
    ),
    "No. .*, paper “Bill of sale”": lambda: received_path(
        *Paper.objects.values_list("sha256", "suffix").get()
    ),
    r"Received mail \d+:": lambda: message_path(ReceivedMail.objects.get().sha256),
    r"Received mail \d+, list.txt:": lambda: file_path(Attachment.objects.get().sha256),
}


def test_a_file_that_is_changed_or_gone_is_named(shop: dict[str, Any]) -> None:
    for expected, where in FILES.items():
        path = where()
        whole = path.read_bytes()
        path.write_bytes(whole[:-1] + bytes([whole[-1] ^ 1]))
        changed = said()
        path.unlink()
        gone = said()
        path.write_bytes(whole)
        assert re.match(f"{expected}.*no longer as it came", changed[0]), changed
        assert re.match(f"{expected}.*is not there", gone[0]), gone
        assert [len(changed), len(gone)] == [1, 1]
    assert said() == []


def test_a_file_that_nothing_points_at_is_named_and_removed_only_when_asked(
    shop: dict[str, Any], folders: Path
) -> None:
    now = timezone.now()
    stray = keep_bytes(b"nobody knows me", folders / "MAIL_DIR", "part")
    path = file_path(stray.sha256)
    first = IssuedPaper.objects.filter(kind="receipt").order_by("pk")[0]
    receipt = folders / "PAPERS_DIR" / file_of(first, at=now).name
    left = folders / "ORIGINALS_DIR" / "arriving-abc"
    left.write_bytes(b"cut off")
    strays = [line for line in said(now) if "no row points" in line]
    assert strays == []

    for file in folders.rglob("*"):
        os.utime(file, (time.time() - 4000, time.time() - 4000))
    strays = [line for line in said(now) if "no row points" in line]
    assert [line.partition(":")[0] for line in strays] == [f"Mail, {path.name}", "Originals, arriving-abc"]
    assert path.exists()

    assert sorted(tidy(at=now)) == [f"mail: {path.name}", "originals: arriving-abc"]
    assert not path.exists()
    assert not left.exists()
    assert receipt.exists()
    assert [line for line in said(now) if "no row points" in line or "file is" in line] == []
    assert len([file for file in folders.rglob("*") if file.name.startswith("arriving-")]) == 0


def test_a_file_that_comes_again_meanwhile_is_not_removed(shop: dict[str, Any], folders: Path) -> None:
    """Somebody keeps the same bytes after the strays were listed: the file counts as having come now."""
    now = timezone.now()
    path = file_path(keep_file(b"a list of strings").sha256)
    os.utime(path, (time.time() - 4000, time.time() - 4000))

    assert keep_file(b"a list of strings").sha256 == path.stem
    assert list(tidy(at=now)) == []
    assert path.exists()


def test_the_command_says_so_and_ends_with_one_when_something_is_not_in_order(
    shop: dict[str, Any], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: AT)
    call_command("audit")
    assert capsys.readouterr().out == "Everything adds up.\n"

    with connection.cursor() as cursor:
        cursor.execute("UPDATE inquiries_sale SET stage = 'PAID' WHERE id = %s", [shop["open"].pk])
    with pytest.raises(SystemExit) as ended:
        call_command("audit")
    told = capsys.readouterr()
    assert ended.value.code == 1
    assert told.out.startswith(f"Sale {shop['open'].number}: it is stored as “Paid in full”")
    assert told.err == "1 not in order.\n"


def test_the_round_is_made_once_a_day_and_the_owner_sees_on_today_what_it_found(
    shop: dict[str, Any], owner: User, owners: Client, helpers: Client, clock: Clock
) -> None:
    clock.at = AT
    assert "Books that do not add up" not in owners.get(reverse("today")).content.decode()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE inquiries_sale SET stage = 'PAID' WHERE id = %s", [shop["open"].pk])
    assert not made_lately(at=AT)
    audit_and_keep(at=AT)
    assert made_lately(at=AT + timedelta(hours=23))
    assert not made_lately(at=AT + timedelta(hours=25))

    page = owners.get(reverse("today")).content.decode()
    assert "Books that do not add up" in page
    assert f"Sale {shop['open'].number}" in page
    assert reverse("sale", args=[shop["open"].number]) in page
    assert "Books that do not add up" not in helpers.get(reverse("today")).content.decode()

    with connection.cursor() as cursor:
        cursor.execute("UPDATE inquiries_sale SET stage = 'DEPOSIT' WHERE id = %s", [shop["open"].pk])
    audit_and_keep(at=AT + timedelta(hours=1))
    assert "Books that do not add up" not in owners.get(reverse("today")).content.decode()


def test_work_that_waits_is_for_the_command_and_not_for_the_round_that_the_worker_makes(
    shop: dict[str, Any],
) -> None:
    Job.objects.create(task="x.y", state=Job.State.WAITING, due=AT - timedelta(hours=2))
    assert next(iter(audit(at=AT))).where.startswith("Work ")
    assert audit_and_keep(at=AT).found == []


def test_every_check_is_made(shop: dict[str, Any]) -> None:
    assert len(CHECKS) >= 15
