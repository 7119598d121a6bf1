"""Answer a questioned claim, and change the owner’s list of claim words."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.db import transaction

from catalog.claims.models import ClaimAnswer, ClaimWord
from catalog.claims.queries import read_texts
from catalog.claims.rules import BY_KEY
from catalog.instruments.models import Instrument
from shop.history.actions import record
from shop.profile.queries import the_shop
from shop.refusal import Refused
from shop.staff.models import User

How = ClaimAnswer.How


@transaction.atomic
def answer_claim(
    instrument: Instrument, claim: str, sentence: str, how: str, reason: str, *, by: User | None, at: datetime
) -> ClaimAnswer:
    """Keep why a questioned claim may stand in that sentence; the same answer once.

    Refused when no text says so any longer, and when the shop's own words contradict the record: no source makes
    them true.
    """
    Instrument.objects.select_for_update().get(pk=instrument.pk)
    found = [
        one for one in read_texts(instrument) if (one.found.key, one.found.sentence) == (claim, sentence)
    ]
    if not found:
        raise Refused(
            "That sentence no longer stands on the record, so there is nothing to answer.", code="gone"
        )
    if how == How.SOURCE and found[0].contradicted:
        raise Refused(
            "The record says otherwise, and a source cannot change that. Mend the record or the sentence; or, if the "
            "sentence claims no such thing, say so.",
            code="contradicted",
        )
    known = found[0].answer
    if known and (known.how, known.reason) == (how, reason):
        return known
    answer = ClaimAnswer.objects.create(
        instrument=instrument, claim=claim, sentence=sentence, how=how, reason=reason, by=by, at=at
    )
    said = f"{found[0].claim.name}: {answer.get_how_display()}. {reason}"
    record(instrument, "changed", by=by, at=at, field="answer to a claim", old=sentence, new=said)
    return answer


@transaction.atomic
def change_words(claim: str, save: Callable[[], Any], *, by: User | None, at: datetime) -> bool:
    """Run `save`, which changes the words of one claim; True when something differs."""
    shop = the_shop()
    before = _as_text(claim)
    save()
    after = _as_text(claim)
    if before != after:
        field = f"words for “{BY_KEY[claim].name}”"
        record(shop, "changed", by=by, at=at, field=field, old=before, new=after)
    return before != after


def _as_text(claim: str) -> str:
    return "\n".join(ClaimWord.objects.filter(claim=claim).values_list("words", flat=True))
