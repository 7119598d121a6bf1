"""What the record holds, as plain values, for the rules that judge a claim."""

from collections.abc import Iterable, Iterator
from enum import StrEnum
from typing import NamedTuple

from catalog.dating.rules import Evidence
from catalog.features.rules import place_of
from catalog.originality.rules import PartFound
from catalog.striking.rules import before_strikings

CERTAIN, DOUBTFUL, TOLD = "certain", "doubtful", "told"


class Verdict(StrEnum):
    """What the record makes of a claim; the value stands in addresses of style."""

    SUPPORTED = "supported"
    CONTRADICTED = "contradicted"
    NOT_ESTABLISHED = "not-established"


VERDICTS = {
    Verdict.SUPPORTED: "Supported",
    Verdict.CONTRADICTED: "Contradicted",
    Verdict.NOT_ESTABLISHED: "Not established",
}


class Row(NamedTuple):
    """A row of the record that a judgement rests on: how it is called, its section and its place there."""

    label: str
    section: str
    anchor: str = ""


class KnownPart(NamedTuple):
    """A part of the sheet with what was found, how sure that is, how it was seen, and what was written of it."""

    slug: str
    found: PartFound
    group: str = ""
    certainty: str = CERTAIN
    seen: str = ""
    written: str = ""

    @property
    def row(self) -> Row:
        """Where it stands on the record."""
        return Row(self.found.name, "parts", f"part-{self.slug}")

    @property
    def sure(self) -> bool:
        """Whether it can carry a claim: certain, and seen by somebody rather than told to us."""
        return self.certainty == CERTAIN and self.seen != TOLD

    @property
    def name(self) -> str:
        """Its name for the middle of a sentence."""
        return self.found.name[:1].lower() + self.found.name[1:]


class KnownPaper(NamedTuple):
    """A paper: what it is, what the shop has of it, and whether it goes with the instrument."""

    key: str
    title: str
    kind: str
    copy: str
    comes_along: bool
    public: bool = False

    @property
    def row(self) -> Row:
        """Where it stands on the record."""
        return Row(self.title, f"papers/{self.key}")


class KnownEntry(NamedTuple):
    """An entry of the provenance, by its place; `paper` is the kind of the paper that backs it."""

    key: int
    label: str
    kind: str
    paper: str = ""

    @property
    def row(self) -> Row:
        """Where it stands on the record."""
        return Row(self.label, "provenance", f"id_provenance-{self.key}-when")


class KnownUnusual(NamedTuple):
    """An unusual feature, and what the dealer makes of it."""

    what: str
    verdict: str

    @property
    def row(self) -> Row:
        """Where it stands on the record."""
        return Row(self.what, "unusual", place_of(self.what))


class KnownStruck(NamedTuple):
    """Evidence that was struck off, without a reason kept as yet: from which section, what, and on which day."""

    key: int
    section: str
    what: Evidence | KnownEntry
    on: str = ""

    @property
    def row(self) -> Row:
        """Where it lies among what was struck off."""
        label = self.what.says if isinstance(self.what, Evidence) else self.what.label
        return Row(label, self.section, f"struck-{self.key}")


class Record(NamedTuple):
    """All of a record that a claim can rest on; `struck` in the order of the strikings."""

    parts: tuple[KnownPart, ...] = ()
    configuration_made: str = ""
    configuration_now: str = ""
    made: str = ""
    made_edtf: str = ""
    made_earliest: int | None = None
    made_latest: int | None = None
    made_near: bool = False
    dating: tuple[Evidence, ...] = ()
    papers: tuple[KnownPaper, ...] = ()
    provenance: tuple[KnownEntry, ...] = ()
    included: tuple[str, ...] = ()
    unusual: tuple[KnownUnusual, ...] = ()
    setup: str = ""
    struck: tuple[KnownStruck, ...] = ()

    @property
    def struck_dating(self) -> tuple[Evidence, ...]:
        """The dating evidence that was struck off."""
        return tuple(one.what for one in self.struck if isinstance(one.what, Evidence))

    def before_strikings(self) -> Iterator[tuple[KnownStruck, "Record"]]:
        """The record as it stood before each striking, the last one first, with what that one struck off."""
        for back in before_strikings((), self.struck):
            dating = tuple(one.what for one in back if isinstance(one.what, Evidence))
            entries = tuple(one.what for one in back if isinstance(one.what, KnownEntry))
            yield (
                back[0],
                self._replace(dating=self.dating + dating, provenance=self.provenance + entries),
            )

    @property
    def converted(self) -> bool:
        """Whether it stands in another configuration than it was made in."""
        return bool(self.configurations_known and self.configuration_made != self.configuration_now)

    @property
    def configurations_known(self) -> bool:
        """Whether both configurations are on the record."""
        return bool(self.configuration_made and self.configuration_now)

    def with_role(self, *roles: str) -> list[KnownPart]:
        """The parts that count as one of `roles`."""
        return [part for part in self.parts if part.found.role in roles]

    def called(self, slugs: Iterable[str]) -> list[KnownPart]:
        """The parts with those short names."""
        wanted = set(slugs)
        return [part for part in self.parts if part.slug in wanted]


class Said(NamedTuple):
    """What a text says with a claim: of which parts, but for which, in which years, how many, which papers."""

    parts: tuple[str, ...] = ()
    excepted: tuple[str, ...] = ()
    earliest: int | None = None
    latest: int | None = None
    near: bool = False
    number: str = ""
    papers: tuple[str, ...] = ()

    @property
    def detail(self) -> str:
        """What tells it from the same claim about something else, for the key of an answer."""
        years = f"{self.earliest}-{self.latest}" if self.earliest or self.latest else ""
        return "+".join(filter(None, [*self.parts, years, self.number, *self.papers]))


class Judgement(NamedTuple):
    """The verdict, one sentence that says why, and the rows it rests on."""

    verdict: Verdict
    why: str
    rows: tuple[Row, ...] = ()

    @property
    def word(self) -> str:
        """The verdict as the desk says it."""
        return VERDICTS[self.verdict]

    @property
    def tone(self) -> str:
        """The tone it is shown in; the word carries the meaning."""
        return {Verdict.SUPPORTED: "good", Verdict.CONTRADICTED: "warn"}.get(self.verdict, "wait")


def listed(names: Iterable[str], most: int = 4) -> str:
    """Names in one line of a sentence: at most `most`, and how many more."""
    names = list(names)
    if len(names) > most + 1:
        names = [*names[:most], f"{len(names) - most} more"]
    return " and ".join(filter(None, [", ".join(names[:-1]), names[-1]])) if names else ""
