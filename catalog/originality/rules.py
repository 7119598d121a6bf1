"""The one word on originality that a whole instrument may carry, from its parts and its configuration.

The rule is the shop's own, written down here so that a buyer can be told it: common practice, no source.
"""

from collections.abc import Iterable
from enum import StrEnum
from typing import NamedTuple

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
IN_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


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
    Word.FULLY: "Fully original",
    Word.BUT_FOR: "Original but for …",
    Word.NOT_FULLY: "Not fully examined",
    Word.REFINISHED: "Refinished",
    Word.NECK: "Neck replaced or missing",
    Word.CONVERTED: "Converted",
    Word.ASSEMBLED: "Assembled from parts",
}
BRIEFLY = {**WORDS, Word.NECK: "Neck not original"}

# What each word means, in a sentence for the buyer.
MEANING = {
    Word.FULLY: "Every part was examined, and each is the one it was made with.",
    Word.BUT_FOR: "Every part was examined. Those named are not the ones it was made with, or that is not known.",
    Word.NOT_FULLY: "Nothing is said of the parts that were not examined.",
    Word.REFINISHED: "Its finish is not the one it was made with.",
    Word.NECK: "Its neck is not the one it was made with.",
    Word.CONVERTED: "It stands in another configuration than the one it was made in.",
    Word.ASSEMBLED: "Its body and its neck, or the whole of its body, are not those it was made with.",
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

    `made` and `stands` name the two configurations of a converted instrument.
    """
    found = list(parts)
    heads = {
        Word.CONVERTED: lambda: _converted(made, stands),
        Word.NECK: lambda: _neck(found),
        Word.REFINISHED: lambda: _refinished(found),
        Word.NOT_FULLY: lambda: _not_fully(found),
        Word.BUT_FOR: lambda: f"Original but for {_joined(_exceptional(found))}",
    }
    head = heads[what]() if what in heads else WORDS[what]
    return "; ".join([head, *_further(what, found)])


def briefly(what: Word, many: int) -> str:
    """The word as it stands under a plate; `many` parts are excepted, as catalogue queries count."""
    if what != Word.BUT_FOR:
        return BRIEFLY[what]
    number = IN_WORDS[many] if many < len(IN_WORDS) else str(many)
    return f"Original but for {number} {'part' if many == 1 else 'parts'}"


def exceptions(parts: Iterable[PartFound]) -> list[str]:
    """A sentence for each examined part that is not the original one, or not known to be, in their order."""
    return [_sentence(part) for part in parts if _excepted(part)]


def _excepted(part: PartFound) -> bool:
    return part.state not in AS_MADE | {NOT_EXAMINED}


def _exceptional(found: list[PartFound]) -> list[PartFound]:
    return [part for part in found if _excepted(part)]


def _converted(made: str, stands: str) -> str:
    if not made or not stands:
        return WORDS[Word.CONVERTED]
    pause = ";" if "," in made else ","
    return f"Converted: made as {_lowered(made)}{pause} stands as {_lowered(stands)}"


def _neck(found: list[PartFound]) -> str:
    missing = all(part.state == MISSING for part in found if part.role == NECK and part.state in GONE)
    if _original_body(found):
        return "Original body, neck missing" if missing else "Original body with replaced neck"
    return "Neck missing" if missing else "Replaced neck"


def _original_body(found: list[PartFound]) -> bool:
    """Only when all of the body was examined and is as made; a body of which nothing was fitted is none."""
    body = {part.state for part in found if part.role == BODY}
    return bool(body - {NEVER_FITTED}) and body <= AS_MADE


def _refinished(found: list[PartFound]) -> str:
    renewed = [part for part in found if part.role == FINISH and part.state in RENEWED]
    return "Finish missing" if all(part.state == MISSING for part in renewed) else "Refinished"


def _not_fully(found: list[PartFound]) -> str:
    many, of = examined(found)
    if not many:
        return "Not yet examined"
    head = f"Not fully examined: {many} of {of} parts"
    if _exceptional(found):
        return head
    return f"{head}, {'all of those' if many > 1 else 'and that one'} original"


def _further(what: Word, found: list[PartFound]) -> Iterable[str]:
    """What the head of the sentence has not said: other parts not original, missing, not known, repaired."""
    praised = what in (Word.FULLY, Word.BUT_FOR)
    rest = [] if praised else [part for part in found if _excepted(part) and not _said(what, part)]
    also = "" if what in (Word.NOT_FULLY, Word.ASSEMBLED) else "also "
    told = {
        f"{also}not original": [part for part in rest if part.state not in (MISSING, UNKNOWN)],
        "missing": _bare(part for part in rest if part.state == MISSING),
        "not known": _bare(part for part in rest if part.state == UNKNOWN),
        "repaired": _bare(part for part in found if part.state == REPAIRED),
    }
    for says, parts in told.items():
        if parts:
            yield f"{says}: {_joined(parts)}"
    if not praised and what != Word.NOT_FULLY and not whole(found):
        many, of = examined(found)
        yield f"{many} of {of} parts examined" if many else "no part examined"


def _bare(parts: Iterable[PartFound]) -> list[PartFound]:
    """Parts whose state is said already."""
    return [part._replace(state="") for part in parts]


def _said(what: Word, part: PartFound) -> bool:
    """Whether the head of the sentence has spoken of that part."""
    if what == Word.NECK:
        return part.role == NECK and part.state in GONE
    return what == Word.REFINISHED and part.role == FINISH and part.state in RENEWED


ADDED_WORDS = {UNKNOWN: "not known", MISSING: "missing", REFINISHED: "refinished or re-plated"}


def _joined(parts: list[PartFound]) -> str:
    """Their names in one line: at most three, and how many more."""
    names = [_named(part) for part in parts]
    if len(names) > NAMED_AT_MOST + 1:
        names = [*names[:NAMED_AT_MOST], f"{len(names) - NAMED_AT_MOST} more parts"]
    # “rim, and neck and heel”: a name that holds an “and” stands apart.
    last = ", and " if any(" and " in name for name in names) else " and "
    return last.join(filter(None, [", ".join(names[:-1]), names[-1]]))


def _named(part: PartFound) -> str:
    added = ADDED_WORDS.get(part.state)
    return f"{_lowered(part.name)} ({added})" if added else _lowered(part.name)


def _lowered(name: str) -> str:
    return name[:1].lower() + name[1:]


def _sentence(part: PartFound) -> str:
    name, many = _lowered(part.name), _plural(part.name)
    are, s = ("are", "s") if many else ("is", "")
    if part.state == UNKNOWN:
        return f"Whether the {name} {are} original is not known."
    if part.state == REFINISHED:
        return _renewed(part, name, many)
    a = "" if many else "a "
    says = {
        "period": f"{are} {a}period-correct replacement{s}",
        "later": f"{are} {a}later replacement{s}",
        "reproduction": f"{are} {a}reproduction{s}",
        MISSING: f"{are} missing",
    }
    kept = f"; the original{s} {'come' if many else 'comes'} with it{_lies(part)}" if part.kept else ""
    head = f"{are} not on it" if part.kept and part.state == MISSING else says[part.state]
    return f"The {name} {head}{kept}."


def _renewed(part: PartFound, name: str, many: bool) -> str:
    if part.role == FINISH:
        return "It has been refinished."
    return f"The {name} {'have' if many else 'has'} been refinished or re-plated."


def _lies(part: PartFound) -> str:
    where = part.where.strip().rstrip(".")
    return f", {_lowered(where)}" if where else ""


def lying(part: PartFound) -> str:
    """An original part that is no longer fitted, with where it lies: “neck and heel, in the case”."""
    return f"{_lowered(part.name)}{_lies(part)}"


def _plural(name: str) -> bool:
    """Whether a part's name takes “are”: the tuners, the neck and heel, the nuts of the hooks; but the brass."""
    head = name.lower().split(" of ")[0]
    if " and " in head:
        return True
    last = head.split()[-1] if head.split() else ""
    return last.endswith("s") and not last.endswith(("ss", "us", "is", "as"))
