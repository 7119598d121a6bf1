"""What the parts of a sheet, the instrument and its papers are called in a text."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from catalog.claims.tokens import Token, tokens

# What else the trade calls a part, by a word of the sheet. Common practice, no source.
ALSO = {
    "peghead": ("headstock",),
    "fingerboard": ("fretboard",),
    "tuners": ("tuning machines", "machine heads", "tuning pegs", "pegs", "machines"),
    "position markers": ("inlays", "dots"),
    "pickguard": ("guard", "scratchplate"),
    "brackets": ("lugs",),
    "tension hoop": ("hoop",),
    "head": ("skin", "vellum"),
    "top": ("soundboard",),
    "finish": ("varnish", "lacquer", "sunburst"),
    "case": ("hard case",),
    "dowel stick": ("dowel",),
    "armrest": ("arm rest",),
}

PAPERS = {
    "bill of sale": ("bill",),
    "bills of sale": ("bill",),
    "receipt": ("receipt", "bill"),
    "receipts": ("receipt", "bill"),
    "sales receipt": ("receipt", "bill"),
    "invoice": ("bill", "receipt"),
    "ticket": ("ticket",),
    "price ticket": ("ticket",),
    "hang tag": ("ticket",),
    "hang tags": ("ticket",),
    "price tag": ("ticket",),
    "tags": ("ticket",),
    "warranty": ("ticket",),
    "warranty card": ("ticket",),
    "letter": ("letter",),
    "letters": ("letter",),
    "photograph": ("picture",),
    "photographs": ("picture",),
    "appraisal": ("appraisal",),
    "papers": (),
    "paperwork": (),
    "documents": (),
    "documentation": (),
}

INSTRUMENT = ("instrument", "piece", "banjo", "guitar", "mandolin", "ukulele", "uke", "example")


class PartCalled(NamedTuple):
    """A part of the sheet: its short name, its name, and what it counts as."""

    slug: str
    name: str
    role: str = ""


Spoken = dict[tuple[str, ...], tuple[str, ...]]


class Names(NamedTuple):
    """Everything that placeholders look for, by the words it is spoken in."""

    parts: Spoken
    kinds: frozenset[tuple[str, ...]]
    sheet: tuple[PartCalled, ...] = ()

    def own_claim(self, slug: str, *, original: bool) -> str:
        """The claim that speaks of that part alone, if there is one."""
        part = next(part for part in self.sheet if part.slug == slug)
        if part.name.lower() == "frets":
            return "original-frets" if original else "refretted"
        if original and part.role in {"neck", "finish", "case"}:
            return f"original-{part.role}"
        return ""

    def cases(self, slugs: Iterable[str]) -> bool:
        """Whether those parts are cases and nothing else: a case comes with a piece wherever it stands."""
        roles = {part.slug: part.role for part in self.sheet}
        return all(roles[slug] == "case" for slug in slugs)


def names_of(sheet: Iterable[PartCalled], called: Iterable[str] = ()) -> Names:
    """The names of one instrument: the parts of its sheet, and kind, maker and model in `called`."""
    sheet = tuple(sheet)
    kinds = {_words(word) for word in INSTRUMENT}
    kinds |= {_words(f"{word}s") for word in INSTRUMENT}
    kinds |= {_words(name) for name in called if name.strip()}
    return Names(_spoken(sheet), frozenset(kinds), sheet)


def _spoken(sheet: Sequence[PartCalled]) -> Spoken:
    """Exact names first; a shorter name (“bridge” of a bridge base and a bridge saddle) stands for all it fits."""
    exact: dict[tuple[str, ...], set[str]] = {}
    shorter: dict[tuple[str, ...], set[str]] = {}
    for part in sheet:
        for name in _alternatives(part.name):
            for spoken in _forms(name):
                exact.setdefault(_words(spoken), set()).add(part.slug)
            for word in {name.split()[0], name.split()[-1]} if " " in name else set():
                for spoken in _forms(word):
                    shorter.setdefault(_words(spoken), set()).add(part.slug)
    found = {**{words: slugs for words, slugs in shorter.items() if words not in exact}, **exact}
    order = {part.slug: place for place, part in enumerate(sheet)}
    return {words: tuple(sorted(slugs, key=order.__getitem__)) for words, slugs in found.items()}


def _alternatives(name: str) -> list[str]:
    """“Brackets or shoes” is called either; “Neck and heel” is called the neck, the heel, or both."""
    whole = name.lower()
    pieces = [piece.strip() for word in whole.split(" or ") for piece in word.split(" and ")]
    return list(dict.fromkeys([whole, *pieces]))


def _forms(name: str) -> set[str]:
    """One and many, and what else the trade calls it."""
    called = {name, *ALSO.get(name, ()), *ALSO.get(f"{name}s", ())}
    return {form for word in called for form in (word, _other_number(word))}


def _other_number(name: str) -> str:
    return name[:-1] if name.endswith("s") and not name.endswith("ss") else f"{name}s"


def _words(name: str) -> tuple[str, ...]:
    return tuple(token.word for token in tokens(name))


def parts_at(words: Sequence[Token], at: int, names: Names) -> list[tuple[int, tuple[str, ...]]]:
    """The parts named by the words at `at`, the longest name first: where it ends, and their short names."""
    found = []
    for end in range(min(len(words), at + 6), at, -1):
        slugs = names.parts.get(tuple(token.word for token in words[at:end]))
        if slugs:
            found.append((end, slugs))
    return found
