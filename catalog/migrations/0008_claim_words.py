"""The claim words that the shop opens with: catalog/claims/words.json. The owner can change them."""

import json
from pathlib import Path

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

WORDS = Path(__file__).resolve().parent.parent / "claims" / "words.json"


def add_words(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    claim_word = apps.get_model("catalog", "ClaimWord")
    rows = json.loads(WORDS.read_text(encoding="utf-8"))
    claim_word.objects.bulk_create(
        claim_word(claim=claim, words=words) for claim, listed in rows.items() for words in listed
    )


class Migration(migrations.Migration):
    dependencies = [("catalog", "0007_a_price_index")]

    operations = [migrations.RunPython(add_words, migrations.RunPython.noop)]
