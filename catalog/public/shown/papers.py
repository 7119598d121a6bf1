"""Papers, as the public may read of them: those that may be named, and never from whom they came."""

from collections.abc import Iterable
from dataclasses import dataclass

from catalog.dating.saying import as_said
from catalog.papers.models import Paper
from shop.wording import gettext as _
from shop.wording import gettext_lazy

Copy, Kind = Paper.Copy, Paper.Kind

HAVE = {
    (Copy.ORIGINAL, True): gettext_lazy("The paper itself comes with the instrument."),
    (Copy.COPY, True): gettext_lazy("A copy comes with the instrument."),
    (Copy.ORIGINAL, False): gettext_lazy("We have the paper itself; it does not come with the instrument."),
    (Copy.COPY, False): gettext_lazy("We have a copy; it does not come with the instrument."),
}
SEEN = gettext_lazy("We have seen it; it is not here.")
# After “with”. What stands in the middle of a sentence has another form in other languages.
INSIDE = {
    Kind.BILL: gettext_lazy("a bill of sale"),
    Kind.RECEIPT: gettext_lazy("an earlier receipt"),
    Kind.LEDGER: gettext_lazy("a page of a factory ledger"),
    Kind.CATALOGUE: gettext_lazy("a catalogue page"),
    Kind.TICKET: gettext_lazy("a warranty or price ticket"),
    Kind.LETTER: gettext_lazy("a letter"),
    Kind.PICTURE: gettext_lazy("an old photograph"),
    Kind.REPAIR: gettext_lazy("a repair invoice"),
    Kind.APPRAISAL: gettext_lazy("an appraisal"),
    Kind.OWNERSHIP: gettext_lazy("a statement of ownership"),
    Kind.OTHER: gettext_lazy("a paper"),
}


@dataclass(frozen=True)
class ShownPaper:
    """One paper: its date, what it is, and whether it goes with the instrument."""

    when: str
    what: str
    have: str


def papers(rows: Iterable[Paper]) -> list[ShownPaper]:
    """The papers that may be named, in the order of their dates."""
    return [
        ShownPaper(
            as_said(row.when, row.when_edtf),
            _what(row),
            str(HAVE.get((Copy(row.copy), row.comes_along), SEEN)),
        )
        for row in rows
        if row.public
    ]


def paper_in_words(row: Paper | None) -> str:
    """A paper in the middle of a sentence: “a bill of sale of 1927”; "" for none, or one not to be named."""
    if row is None or not row.public:
        return ""
    said = {"paper": INSIDE[Kind(row.kind)], "when": as_said(row.when, row.when_edtf)}
    if not row.when:
        return str(said["paper"])
    # “of 1927”, “of c. 1927”; a span or a choice of years has words of its own.
    if set(row.when_edtf) & set("/[X"):
        return _("%(paper)s, %(when)s") % said
    return _("%(paper)s of %(when)s") % said


def _what(row: Paper) -> str:
    kind = row.get_kind_display()
    if row.kind == Kind.OTHER or kind.casefold() in row.title.casefold():
        return row.title
    return _("%(what)s: %(text)s") % {"what": kind, "text": row.title}
