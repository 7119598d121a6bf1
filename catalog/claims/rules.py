"""The claims: each with its name, the rule that is shown beside it, and the function that applies the rule.

The rules are the shop's own, written so that a buyer could be told them: common practice, no source. They weigh
what is on the record and are no legal advice.
"""

from collections.abc import Callable
from typing import NamedTuple

from catalog.claims import on_evidence, on_parts
from catalog.claims.record import DOUBTFUL, TOLD, Judgement, KnownPart, KnownStruck, Record, Said, Verdict
from catalog.dating.rules import Agreement, agreement_before_strikings
from catalog.dating.saying import as_said
from catalog.originality.rules import NOT_EXAMINED, UNKNOWN, exceptions
from shop.wording import gettext as _
from shop.wording import inside, joined, shipped

Judge = Callable[[Record, Said], Judgement]


class Claim(NamedTuple):
    """One claim: its key, how it is called, the written rule, and the rule itself.

    `opposite` is the claim that its denial makes; a claim that is judged of something named in the text alone
    (`named`) has no verdict by itself.
    """

    key: str
    name: str
    rule: str
    judge: Judge
    opposite: str = ""
    named: bool = False


CLAIMS = (
    Claim(
        "all-original",
        "All original",
        "Supported when every part of the sheet was examined and is original or repaired; contradicted when one "
        "is refinished, replaced or missing.",
        on_parts.all_original,
    ),
    Claim(
        "original-but-for",
        "Original but for named parts",
        "Supported when every part but those the sentence excepts was examined and is original or repaired; "
        "contradicted when another part is refinished, replaced or missing.",
        on_parts.all_original,
        named=True,
    ),
    Claim(
        "untouched",
        "Untouched",
        "Supported when every part was examined and is original, with nothing so much as repaired; contradicted "
        "when one is repaired, refinished, replaced or missing.",
        on_parts.untouched,
    ),
    Claim(
        "original-finish",
        "Original finish",
        "Supported when finish, body and neck were examined and each is original or repaired; contradicted when "
        "one of them is refinished, replaced or missing.",
        on_parts.original_finish,
        opposite="refinished",
    ),
    Claim(
        "never-refinished",
        "Never refinished",
        "Judged as an original finish is.",
        on_parts.original_finish,
        opposite="refinished",
    ),
    Claim(
        "refinished",
        "Refinished",
        "Supported when the part named, or else finish, body or neck, was found refinished; contradicted when "
        "they were all examined and none is.",
        on_parts.refinished,
        opposite="never-refinished",
    ),
    Claim(
        "original-neck",
        "Original neck",
        "Supported when the neck was examined and is original or repaired; contradicted when it is replaced or "
        "missing. Of a refinished neck, say that it is.",
        on_parts.original_neck,
    ),
    Claim(
        "original-case",
        "Original case",
        "Supported when the case was examined and is original or repaired; contradicted when it is replaced, "
        "missing, or none was ever with it.",
        on_parts.original_case,
    ),
    Claim(
        "original-part",
        "Original part, by name",
        "Supported when the part was examined and is original or repaired; contradicted when it is replaced, "
        "missing, or was never fitted. Of a refinished or re-plated part, say that it is.",
        on_parts.original_part,
        opposite="replaced-part",
        named=True,
    ),
    Claim(
        "original-hardware",
        "All hardware original",
        "Supported when every part under “Hardware”, and tuners, tailpiece, hooks, nuts, brackets, hoop, flange, "
        "armrest, clamp and plating were examined and are original or repaired; contradicted when one is "
        "re-plated, replaced or missing.",
        on_parts.original_hardware,
    ),
    Claim(
        "replaced-part",
        "Replaced part, by name",
        "Supported when the part was found replaced or missing; contradicted when it was found original.",
        on_parts.replaced,
        opposite="original-part",
        named=True,
    ),
    Claim(
        "originals-kept",
        "An original part comes along",
        "Supported when that part is still on it, is noted as kept with it, or is listed as an original with what "
        "comes with it; contradicted when it was replaced and nothing is kept.",
        on_parts.originals_kept,
        named=True,
    ),
    Claim(
        "original-frets",
        "Original frets",
        "Supported when the frets were examined and are original or repaired; contradicted when they are "
        "replaced.",
        on_parts.original_frets,
        opposite="refretted",
    ),
    Claim(
        "refretted",
        "Re-fretted",
        "Supported when the frets were found to be replacements; contradicted when they were found original.",
        on_parts.refretted,
        opposite="original-frets",
    ),
    Claim(
        "converted",
        "Converted",
        "Supported when it was made in another configuration than it stands in; contradicted when both are the "
        "same.",
        on_parts.converted,
        opposite="as-made",
    ),
    Claim(
        "as-made",
        "Not converted",
        "Supported when it stands in the configuration it was made in; contradicted when it does not.",
        on_parts.as_made,
        opposite="converted",
    ),
    Claim(
        "no-cracks",
        "No cracks",
        "Supported when body and neck were examined, none of their parts is repaired or refinished, and none is "
        "written to be cracked or split; contradicted when one is.",
        on_parts.uncracked,
    ),
    Claim(
        "sound-wood",
        "No repairs in the wood",
        "Supported when body and neck were examined and none of their parts is repaired or refinished; contradicted "
        "when one is repaired.",
        on_parts.sound_wood,
    ),
    Claim(
        "no-repairs",
        "No repairs",
        "Supported when every part was examined, none is repaired, and body and neck are original; contradicted "
        "when one is repaired, or body or neck are refinished, replaced or missing.",
        on_parts.no_repairs,
    ),
    Claim(
        "date",
        "Date of make",
        "Supported when the firm dating evidence leaves no other years; contradicted when it leaves none of "
        "those years, or the date on the record is another.",
        on_evidence.dated,
    ),
    Claim(
        "one-owner",
        "One owner",
        "Supported when the provenance has it sold new and then with one owner, with a statement of ownership "
        "behind the entry; contradicted by a second owner, a dealer between, or years out of sight.",
        on_evidence.one_owner,
    ),
    Claim(
        "original-owner",
        "From the original owner",
        "Supported when the provenance has it sold new, and an owner with a paper behind the entry.",
        on_evidence.original_owner,
    ),
    Claim(
        "papers",
        "Comes with original papers",
        "Supported when such a paper, itself and not a copy, is noted as coming with it; contradicted when what "
        "comes with it is a copy.",
        on_evidence.papers_come_along,
    ),
    Claim(
        "factory-work",
        "Factory work or special order",
        "Supported when an unusual feature was confirmed as factory work; contradicted when what is unusual was "
        "found to be later work.",
        on_evidence.factory_work,
    ),
    Claim(
        "set-up",
        "Set up professionally",
        "Supported when the set-up names who did it and when.",
        on_evidence.set_up,
    ),
    Claim(
        "one-of",
        "One of so many made",
        "Never supported by the record of one instrument: a named source has to give the number.",
        on_evidence.needs_a_source,
        named=True,
    ),
    Claim(
        "rare",
        "Rare, or the only one known",
        "Never supported by the record of one instrument: a named source has to say it.",
        on_evidence.needs_a_source,
    ),
    Claim(
        "praise",
        "Praise beyond the record",
        "Never supported by a record: say whose opinion it is, or leave it out.",
        on_evidence.an_opinion,
    ),
)

BY_KEY = {claim.key: claim for claim in CLAIMS}


def judge(key: str, record: Record, said: Said = Said()) -> Judgement:  # noqa: B008 - a frozen value
    """What the record makes of a claim.

    Taking evidence away supports nothing: a claim that is supported must have been so before each striking too,
    until the owner has said why the evidence was struck off (catalog/striking/rules.py).
    """
    rule = BY_KEY[key].judge
    judged = rule(record, said)
    if judged.verdict != Verdict.SUPPORTED:
        return judged
    for struck, before in record.before_strikings():
        if rule(before, said).verdict != Verdict.SUPPORTED:
            return _held_back(struck, judged)
    return judged


def _held_back(struck: KnownStruck, judged: Judgement) -> Judgement:
    why = (
        f"“{struck.row.label}” was struck off the record on {struck.on}, and spoke against it. "
        "Until the owner has confirmed that with a reason, it still counts."
    )
    return Judgement(Verdict.NOT_ESTABLISHED, why, (struck.row, *judged.rows))


def guarantee_exceptions(record: Record) -> list[str]:
    """What a guarantee of this instrument does not cover, a sentence each, so that it promises only what is known.

    First how it differs from what was made, then the date, then what was not examined or is not sure.
    """
    return [
        *_conversion(record),
        *exceptions(part.found for part in record.parts),
        *_date(record),
        *_not_sure(record),
        *_not_examined(record),
    ]


def _conversion(record: Record) -> list[str]:
    if not record.converted:
        return []
    made, now = _inside(record.configuration_made), _inside(record.configuration_now)
    return [_("It was made as %(made)s; it stands as %(now)s.") % {"made": made, "now": now}]


def _date(record: Record) -> list[str]:
    made_in = (record.made_earliest, record.made_latest, record.made_near)
    stated = agreement_before_strikings(*made_in, record.dating, record.struck_dating)
    if not record.made:
        return [_("No date of make is given.")]
    if stated == Agreement.SUPPORTED:
        return []
    made = {"date": as_said(record.made, record.made_edtf)}
    if stated == Agreement.CONTRADICTED:
        return [_("The date of make, %(date)s, does not agree with the evidence on record.") % made]
    return [_("The date of make, %(date)s, is given as our opinion; the evidence does not settle it.") % made]


def _not_sure(record: Record) -> list[str]:
    """Findings that are not certain, or that rest on what we were told; the state itself is said elsewhere."""
    found = [
        part for part in record.parts if part.found.state not in {NOT_EXAMINED, UNKNOWN} and not part.sure
    ]
    return [_doubt(part) % {"part": _inside(part.found.name)} for part in found]


def _doubt(part: KnownPart) -> str:
    if part.seen == TOLD:
        return _("What we say of the %(part)s is as it was told to us, and not seen.")
    if part.certainty == DOUBTFUL:
        return _("What we say of the %(part)s is in doubt.")
    return _("What we say of the %(part)s is likely, and not certain.")


def _not_examined(record: Record) -> list[str]:
    missing = [_inside(part.found.name) for part in record.parts if part.found.state == NOT_EXAMINED]
    if len(missing) == len(record.parts):  # a kind whose sheet is empty too
        return [_("No part of it has been examined.")]
    if not missing:
        return []
    return [_("Not examined, and so not covered: %(parts)s.") % {"parts": joined(missing)}]


def _inside(name: str) -> str:
    """A name of the sheet within a sentence, in the reader's language."""
    return inside(shipped(name))
