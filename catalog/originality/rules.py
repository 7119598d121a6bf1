"""The one word on originality that a whole instrument may carry, from its parts and its configuration.

The rule is the shop's own, written down here so that a buyer can be told it: common practice, no source.
"""

from collections.abc import Iterable, Iterator
from enum import StrEnum
from typing import NamedTuple

from catalog.originality.sentences import ALONE, KEPT, KEPT_THERE
from catalog.originality.sentences import REFINISHED as IS_REFINISHED
from catalog.originality.sentences import UNKNOWN as IS_UNKNOWN
from shop.wording import gettext as _
from shop.wording import gettext_lazy, inside, ngettext, shipped

# Values of Finding.State. A repaired part is still the original part; one never fitted is no part gone.
NOT_EXAMINED = "not-examined"
NEVER_FITTED = "never-fitted"
REPAIRED = "repaired"
REFINISHED = "refinished"
MISSING = "missing"
UNKNOWN = "unknown"
AS_MADE = frozenset({"original", REPAIRED, NEVER_FITTED})
GONE = frozenset({"period", "later", "reproduction", MISSING})
RENEWED = GONE | {REFINISHED}

# From best to worst; “unknown” and “not examined” are no steps of it.
WORSENING = (
    frozenset({"original", NEVER_FITTED}), frozenset({REPAIRED}), frozenset({REFINISHED}), frozenset({"period"}),
    frozenset({"later"}), frozenset({"reproduction"}), frozenset({MISSING}),
)  # fmt: skip

# Values of Part.Role.
BODY, NECK, FINISH = "body", "neck", "finish"

NAMED_AT_MOST = 3
IN_WORDS = {
    2: gettext_lazy("two"), 3: gettext_lazy("three"), 4: gettext_lazy("four"), 5: gettext_lazy("five"),
    6: gettext_lazy("six"), 7: gettext_lazy("seven"), 8: gettext_lazy("eight"), 9: gettext_lazy("nine"),
    10: gettext_lazy("ten"),
}  # fmt: skip


class PartFound(NamedTuple):
    """A part of the sheet as it was found; `kept` when the original part lies by, `where` it lies."""

    name: str
    state: str
    role: str = ""
    kept: bool = False
    where: str = ""


class Word(StrEnum):
    """The word on the whole, best first; the value stands in addresses."""

    FULLY = "fully-original"
    BUT_FOR = "but-for"
    NOT_FULLY = "not-fully-examined"
    REFINISHED = "refinished"
    NECK = "replaced-neck"
    CONVERTED = "converted"
    ASSEMBLED = "assembled"


WORDS = {
    Word.FULLY: gettext_lazy("Fully original"),
    Word.BUT_FOR: gettext_lazy("Original but for …"),
    Word.NOT_FULLY: gettext_lazy("Not fully examined"),
    Word.REFINISHED: gettext_lazy("Refinished"),
    Word.NECK: gettext_lazy("Neck replaced or missing"),
    Word.CONVERTED: gettext_lazy("Converted"),
    Word.ASSEMBLED: gettext_lazy("Assembled from parts"),
}
BRIEFLY = {**WORDS, Word.NECK: gettext_lazy("Neck not original")}

# What each word means, in a sentence for the buyer.
MEANING = {
    Word.FULLY: gettext_lazy("Every part was examined, and each is the one it was made with."),
    Word.BUT_FOR: gettext_lazy(
        "Every part was examined. Those named are not the ones it was made with, or that is not known."
    ),
    Word.NOT_FULLY: gettext_lazy("Nothing is said of the parts that were not examined."),
    Word.REFINISHED: gettext_lazy("Its finish is not the one it was made with."),
    Word.NECK: gettext_lazy("Its neck is not the one it was made with."),
    Word.CONVERTED: gettext_lazy("It stands in another configuration than the one it was made in."),
    Word.ASSEMBLED: gettext_lazy(
        "Its body and its neck, or the whole of its body, are not those it was made with."
    ),
}


def word(parts: Iterable[PartFound], *, converted: bool) -> Word:
    """The word that every part of the sheet together carry: the worst that fits, and never a better one.

    Assembled: neither the neck nor some part of the body is the one it was made with, or no part of the body is.
    Converted: it stands in another configuration than it was made in. Neck: the neck is not the one it was made
    with. Refinished: the finish is not. Not fully examined: some part is not, or none was. Fully original: every
    part is there as made; repaired parts are, and parts never fitted take nothing away.

    Catalogue queries compute the same in SQL (catalog/originality/queries.py).
    """
    found = list(parts)
    if _assembled(found):
        return Word.ASSEMBLED
    if converted:
        return Word.CONVERTED
    if any(_gone(found, NECK)):
        return Word.NECK
    if any(part.state in RENEWED for part in found if part.role == FINISH):
        return Word.REFINISHED
    if not whole(found):
        return Word.NOT_FULLY
    return Word.FULLY if all(part.state in AS_MADE for part in found) else Word.BUT_FOR


def _assembled(found: list[PartFound]) -> bool:
    body = list(_gone(found, BODY))
    return any(body) and (any(_gone(found, NECK)) or all(body))


def _gone(found: list[PartFound], role: str) -> Iterable[bool]:
    """For each part of that role, whether it is no longer the one the instrument was made with."""
    return (part.state in GONE for part in found if part.role == role)


def examined(parts: Iterable[PartFound]) -> tuple[int, int]:
    """How many parts were examined, and of how many; those never fitted are in neither number."""
    fitted = [part for part in parts if part.state != NEVER_FITTED]
    return sum(part.state != NOT_EXAMINED for part in fitted), len(fitted)


def whole(parts: Iterable[PartFound]) -> bool:
    """Whether the examination is whole: no part is left out, and there was something to examine."""
    many, of = examined(parts)
    return 0 < many == of


def spoken(what: Word, parts: Iterable[PartFound], *, made: str = "", stands: str = "") -> str:
    """The word as it heads a listing, with whatever else a buyer must hear in the same breath.

    `made` and `stands` name the two configurations of a converted instrument, in the reader's language.
    """
    found = list(parts)
    heads = {
        Word.CONVERTED: lambda: _converted(made, stands),
        Word.NECK: lambda: _neck(found),
        Word.REFINISHED: lambda: _refinished(found),
        Word.NOT_FULLY: lambda: _not_fully(found),
        Word.BUT_FOR: lambda: _("Original but for %(parts)s") % {"parts": _joined(_exceptional(found))},
    }
    head = heads[what]() if what in heads else str(WORDS[what])
    return "; ".join([head, *_further(what, found)])


def briefly(what: Word, many: int) -> str:
    """The word as it stands under a plate; `many` parts are excepted, as catalogue queries count."""
    if what != Word.BUT_FOR:
        return str(BRIEFLY[what])
    said = ngettext("Original but for one part", "Original but for %(number)s parts", many)
    return said % {"number": IN_WORDS.get(many, many)}


def exceptions(parts: Iterable[PartFound]) -> list[str]:
    """A sentence for each examined part that is not the original one, or not known to be, in their order."""
    return [_sentence(part) for part in parts if _excepted(part)]


def _excepted(part: PartFound) -> bool:
    return part.state not in AS_MADE | {NOT_EXAMINED}


def _exceptional(found: list[PartFound]) -> list[PartFound]:
    return [part for part in found if _excepted(part)]


def _converted(made: str, stands: str) -> str:
    if not made or not stands:
        return str(WORDS[Word.CONVERTED])
    told = {"made": inside(made), "stands": inside(stands)}
    if "," in made:
        return _("Converted: made as %(made)s; stands as %(stands)s") % told
    return _("Converted: made as %(made)s, stands as %(stands)s") % told


def _neck(found: list[PartFound]) -> str:
    missing = all(part.state == MISSING for part in found if part.role == NECK and part.state in GONE)
    if _original_body(found):
        return _("Original body, neck missing") if missing else _("Original body with replaced neck")
    return _("Neck missing") if missing else _("Replaced neck")


def _original_body(found: list[PartFound]) -> bool:
    """Only when all of the body was examined and is as made; a body of which nothing was fitted is none."""
    body = {part.state for part in found if part.role == BODY}
    return bool(body - {NEVER_FITTED}) and body <= AS_MADE


def _refinished(found: list[PartFound]) -> str:
    renewed = [part for part in found if part.role == FINISH and part.state in RENEWED]
    return _("Finish missing") if all(part.state == MISSING for part in renewed) else _("Refinished")


def _not_fully(found: list[PartFound]) -> str:
    many, of = examined(found)
    told = {"many": many, "of": of}
    if not many:
        return _("Not yet examined")
    if _exceptional(found):
        return _("Not fully examined: %(many)s of %(of)s parts") % told
    if many == 1:
        return _("Not fully examined: %(many)s of %(of)s parts, and that one original") % told
    return _("Not fully examined: %(many)s of %(of)s parts, all of those original") % told


def _further(what: Word, found: list[PartFound]) -> Iterator[str]:
    """What the head of the sentence has not said: other parts not original, missing, not known, repaired."""
    praised = what in (Word.FULLY, Word.BUT_FOR)
    rest = [] if praised else [part for part in found if _excepted(part) and not _said(what, part)]
    first = what in (Word.NOT_FULLY, Word.ASSEMBLED)
    told = [
        (
            _("not original: %(parts)s") if first else _("also not original: %(parts)s"),
            [part for part in rest if part.state not in (MISSING, UNKNOWN)],
        ),
        (_("missing: %(parts)s"), _bare(part for part in rest if part.state == MISSING)),
        (_("not known: %(parts)s"), _bare(part for part in rest if part.state == UNKNOWN)),
        (_("repaired: %(parts)s"), _bare(part for part in found if part.state == REPAIRED)),
    ]
    yield from (says % {"parts": _joined(parts)} for says, parts in told if parts)
    if not praised and what != Word.NOT_FULLY and not whole(found):
        many, of = examined(found)
        said = _("%(many)s of %(of)s parts examined") if many else _("no part examined")
        yield said % {"many": many, "of": of}


def _bare(parts: Iterable[PartFound]) -> list[PartFound]:
    """Parts whose state is said already."""
    return [part._replace(state="") for part in parts]


def _said(what: Word, part: PartFound) -> bool:
    """Whether the head of the sentence has spoken of that part."""
    if what == Word.NECK:
        return part.role == NECK and part.state in GONE
    return what == Word.REFINISHED and part.role == FINISH and part.state in RENEWED


ADDED = {
    UNKNOWN: gettext_lazy("%(part)s (not known)"),
    MISSING: gettext_lazy("%(part)s (missing)"),
    REFINISHED: gettext_lazy("%(part)s (refinished or re-plated)"),
}


def _joined(parts: list[PartFound]) -> str:
    """Their names in one line: at most three, and how many more."""
    names = [_named(part) for part in parts]
    if len(names) > NAMED_AT_MOST + 1:
        more = len(names) - NAMED_AT_MOST
        names = [*names[:NAMED_AT_MOST], _("%(many)s more parts") % {"many": more}]
    *first, last = names
    if not first:
        return last
    # “rim, and neck and heel”: a name that holds an “and” stands apart.
    between = _("%(first)s and %(last)s")
    held = between % {"first": "", "last": ""}
    if any(held in name for name in names):
        between = _("%(first)s, and %(last)s")
    return between % {"first": ", ".join(first), "last": last}


def _named(part: PartFound) -> str:
    name = _inside(part)
    return ADDED[part.state] % {"part": name} if part.state in ADDED else name


def _inside(part: PartFound) -> str:
    """Its name within a sentence, in the reader's language."""
    return inside(shipped(part.name))


def _sentence(part: PartFound) -> str:
    told, many = {"part": _inside(part), "where": _where(part)}, plural(part.name)
    if part.state == REFINISHED and part.role == FINISH:
        return _("It has been refinished.")
    if part.state in (UNKNOWN, REFINISHED):
        says = IS_UNKNOWN if part.state == UNKNOWN else IS_REFINISHED
    elif part.kept:
        says = (KEPT_THERE if told["where"] else KEPT)[part.state]
    else:
        says = ALONE[part.state]
    return says.of(many) % told


def _where(part: PartFound) -> str:
    """Where the original lies, in the dealer's own words."""
    return inside(part.where.strip().rstrip("."))


def lying(part: PartFound) -> str:
    """An original part that is no longer fitted, with where it lies: “neck and heel, in the case”."""
    told = {"part": _inside(part), "where": _where(part)}
    return _("%(part)s, %(where)s") % told if told["where"] else told["part"]


def plural(name: str) -> bool:
    """Whether a part's name takes “are”: the tuners, the neck and heel, the nuts of the hooks; but the brass."""
    head = name.lower().split(" of ")[0]
    if " and " in head:
        return True
    last = head.split()[-1] if head.split() else ""
    return last.endswith("s") and not last.endswith(("ss", "us", "is", "as"))
