"""The receipts there are go among the issued papers, word for word, with their files and the work ordered on them."""

from typing import Any

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from inquiries.papers.rules import digest
from shop.facts import lifted

MAKE = "inquiries.papers.filing.make_"


def take_over(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """One paper for each receipt; its number, its content and its day stay as they are."""
    get: Any = apps.get_model
    jobs = get("shop", "Job").objects.filter(task=f"{MAKE}receipt_file")
    for receipt in get("inquiries", "Receipt").objects.select_related("sale").order_by("pk"):
        paper = get("inquiries", "IssuedPaper").objects.create(
            kind="receipt",
            number=receipt.number,
            instrument_id=receipt.sale.instrument_id,
            sale=receipt.sale,
            row_id=receipt.row_id,
            content=receipt.content,
            sha256=digest(receipt.content),
            entry=f"receipt-of-row-{receipt.row_id}",
            by_id=receipt.by_id,
            at=receipt.at,
        )
        get("inquiries", "PaperFile").objects.filter(receipt=receipt).update(paper=paper, receipt=None)
        jobs.filter(arguments={"receipt": receipt.pk}).update(
            task=f"{MAKE}file", arguments={"paper": paper.pk}, key=f"paper {paper.pk}"
        )


class Migration(migrations.Migration):
    """The guard of the files is lifted for it, and put back when the tables are as they will stay."""

    dependencies = [
        ("inquiries", "0021_a_receipt_is_a_paper"),
        ("shop", "0008_a_tax_number_for_papers"),
    ]

    operations = [lifted("inquiries_paperfile"), migrations.RunPython(take_over)]
