"""Answers to the questions asked most, assembled from the record; what the record lacks is said to lack.

Which questions those are, and how they are answered, is common practice, no source.
"""

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from catalog.instruments.availability import Availability
from catalog.originality.rules import exceptions
from catalog.public.shown.wording import lowered, raised
from inquiries.answering.facts import (
    NOT_MEASURED,
    TAKEN_IN,
    Told,
    approval,
    converted,
    ended,
    measured,
    not_examined,
    on_the_whole,
    unended,
)
from shop.wording import joined

PLAYING = re.compile(r"neck|nut|action|string spread|string spacing|fingerboard|scale length")
TRADING = re.compile(r"\btrad(?:e|es|ed|ing)\b|\bpart[- ]exchange\b", re.IGNORECASE)
RETURNING = re.compile(r"\breturn|\bapproval\b|\brefund|\bsend (?:it )?back\b", re.IGNORECASE)
COLLECTED = re.compile(r"\bcollect|\bpick(?:ed)?[- ]up\b|\bin person\b", re.IGNORECASE)
SHIPPING = re.compile(r"\bship|\bfreight\b|\bcarriage\b|\bpostage\b", re.IGNORECASE)


class Missing(NamedTuple):
    """What the record or the profile lacks for a whole answer, and the section where it is written down."""

    says: str
    section: str


class Answer(NamedTuple):
    """An answer ready to be put into a letter; `missing` is told to the desk alone."""

    key: str
    question: str
    text: str
    missing: tuple[Missing, ...] = ()


class Standing(NamedTuple):
    """How the piece stands for one person: never who else has it. Instants are written out."""

    word: Availability
    own: bool = False
    until: str = ""
    selling: bool = False
    waiting: int = 0
    next_place: str = ""
    own_place: str = ""


class View(NamedTuple):
    """A photograph: its key, what it shows by its view and caption, and the parts that it is evidence for."""

    key: int
    says: str
    shows: tuple[str, ...] = ()


class Shipping(NamedTuple):
    """What is known of sending it to this person: an amount already agreed, and where to."""

    agreed: str = ""
    where: bool = False


def answers(told: Told, standing: Standing, shipping: Shipping) -> list[Answer]:
    """Every answer but that on photographs, which needs to know of which part."""
    return [
        available(standing),
        originality(told),
        weight(told),
        neck_and_action(told),
        shipped_price(told, shipping),
        trade(told),
        returns(told),
    ]


def available(standing: Standing) -> Answer:
    """Whether it may still be had, with the hold and the queue, and never a name."""
    return Answer("available", "Is it still available?", _available(standing))


def _available(standing: Standing) -> str:
    if standing.word == Availability.SOLD:
        return "It has been sold."
    if standing.word == Availability.NOT_LISTED:
        return "It is not offered for sale at present."
    if standing.own:
        return f"Yes: we hold it for you until {standing.until}."
    if standing.word == Availability.AVAILABLE:
        return "Yes, it is still available."
    taken = "It is being bought at this moment" if standing.selling else "It is on hold"
    ends = f" until {standing.until}" if standing.until and not standing.selling else ""
    if standing.own_place:
        return f"{taken}{ends}; you stand {standing.own_place}."
    behind = f"{_people(standing.waiting)} in the queue behind that" if standing.waiting else ""
    place = f"if you like, we write you down as {standing.next_place}" if standing.next_place else ""
    return ended("; ".join(filter(None, [f"{taken}{ends}", behind, place])))


def _people(many: int) -> str:
    return "one person stands" if many == 1 else f"{many} people stand"


def originality(told: Told) -> Answer:
    """The word on the whole, how it was converted, each exception, and what was not examined."""
    found = told.shown.originality
    said = [on_the_whole(told), converted(told), *exceptions(told.parts), not_examined(told)]
    lacking = (
        (
            Missing(
                f"{len(found.not_examined)} {'part' if len(found.not_examined) == 1 else 'parts'} not examined",
                "parts",
            ),
        )
        if found.not_examined
        else ()
    )
    if not found.examined:
        said = [on_the_whole(told), "we shall do so and write to you."]
    return Answer("originality", "How original is it?", _text(said), lacking)


def weight(told: Told) -> Answer:
    """What it weighs, as it was weighed."""
    known = [
        sentence
        for (name, sentence), taken in zip(measured(told.shown), told.shown.bare.measured, strict=True)
        if "weight" in name.lower() and taken.unit in {"GRM", "ONZ", "LBR"}
    ]
    if known:
        return Answer("weight", "What does it weigh?", _text(known))
    text = "We have not weighed it yet; we shall do so and write to you."
    return Answer("weight", "What does it weigh?", text, (Missing("no weight", "measurements"),))


def neck_and_action(told: Told) -> Answer:
    """The measures of the neck and the action with how they were taken, and the set-up they hang on."""
    rows = [
        (name.lower(), figure, taken.unit)
        for (name, figure), taken in zip(told.shown.measurements, told.shown.bare.measured, strict=True)
        if PLAYING.search(name.lower()) and figure.lower() != NOT_MEASURED
    ]
    names = " ".join(name for name, _figure, _unit in rows)
    things = [thing for thing in ("neck", "nut", "action") if thing not in names]
    lacking = [Missing(f"no measure of the {thing}", "measurements") for thing in things]
    said = [
        "; ".join(f"{name} {figure}" for name, figure, _unit in rows),
        _taken([unit for *_, unit in rows]),
    ]
    if things:
        what = joined([f"the {thing}" for thing in things])
        said.append(f"We have not measured {what} yet; we shall do so and write to you.")
    setup = told.shown.setup
    said.append(f"Set-up: {setup}" if setup else "")
    if not setup:
        lacking.append(Missing("nothing on the set-up", "setup"))
    return Answer("neck", "How are neck and action?", raised(_text(said)), tuple(lacking))


def _taken(units: Iterable[str]) -> str:
    """In what the figures were taken; the action is that of the present set-up."""
    ways = [TAKEN_IN[unit] for unit in dict.fromkeys(units) if unit in TAKEN_IN]
    return f"All {joined(ways)}, and as it is set up now" if ways else ""


def shipped_price(told: Told, shipping: Shipping) -> Answer:
    """The price with what is known of shipping; a figure for shipping only where one has been agreed."""
    terms, lacking = told.terms, []
    if terms.price:
        said = [f"The price is {terms.price}."]
    elif told.shown.sold:
        said = []
    else:
        said = ["We shall name you the price in a letter of its own."]
        if not terms.on_request:
            lacking.append(Missing("no price", "price"))
    if shipping.agreed:
        said.append(f"Shipping, as we have agreed, is {shipping.agreed}.")
    else:
        said.append("Shipping is not in it: we quote it once the piece is packed and weighed.")
        if carriers := [name for name in terms.carriers if not COLLECTED.search(name)]:
            said.append(f"We send by {_either(carriers)}.")
        if not shipping.where:
            said.append("Please tell us where it would go to.")
    return Answer(
        "shipped",
        "What does it cost, shipped?",
        _text([*said, *_of_terms(terms.text, SHIPPING)]),
        tuple(lacking),
    )


def trade(told: Told) -> Answer:
    """What the terms say of trades; nothing where they say nothing."""
    known = _of_terms(told.terms.text, TRADING)
    ask = (
        "Tell us what you have, with its maker, its condition and a few photographs, and we shall look at it."
    )
    if known:
        return Answer("trade", "Do you take a trade?", _text([*known, ask]))
    text = f"Our terms say nothing on trades, so we decide it piece by piece. {ask}"
    return Answer("trade", "Do you take a trade?", text, (Missing("nothing on trades in the terms", "shop"),))


def returns(told: Told) -> Answer:
    """The approval period and what the terms say of sending back."""
    terms = told.terms
    known = _of_terms(terms.text, RETURNING)
    text = _text([approval(terms), *known])
    lacking = () if known else (Missing("nothing on returns in the terms", "shop"),)
    return Answer("returns", "May I send it back?", text, lacking)


def photographs(part: str, views: Sequence[View]) -> Answer:
    """Which photographs show a part, by the finding that rests on them, their view or their caption."""
    found = showing(part, views)
    if not found:
        text = (
            f"We have no photograph yet that shows the {lowered(part)}; we shall take one and send it to you."
        )
        missing = (Missing(f"no photograph of the {lowered(part)}", "pictures"),)
        return Answer("photographs", f"Photographs of the {lowered(part)}", text, missing)
    many = "One photograph shows" if len(found) == 1 else f"{len(found)} photographs show"
    named = joined([f"“{unended(view.says)}”" for view in found])
    text = f"{many} the {lowered(part)}: {named}. We can send you full-size pictures by a private link."
    return Answer("photographs", f"Photographs of the {lowered(part)}", text)


def showing(part: str, views: Iterable[View]) -> list[View]:
    """The photographs on which a part is to be seen, as far as the record tells."""
    names = [
        re.compile(rf"\b{re.escape(name.strip().removesuffix('s'))}s?\b")
        for name in re.split(r"\bor\b|\band\b|,", part.lower())
        if name.strip()
    ]
    return [
        view
        for view in views
        if part.lower() in {shown.lower() for shown in view.shows}
        or any(name.search(view.says.lower()) for name in names)
    ]


def _of_terms(terms: str, about: re.Pattern[str]) -> list[str]:
    """The sentences of the terms that speak of it, as they stand there."""
    sentences = [
        sentence for line in terms.splitlines() for sentence in re.split(r"(?<=[.!?])\s+(?=[A-Z“])", line)
    ]
    return [ended(sentence) for sentence in sentences if about.search(sentence)]


def _either(names: Sequence[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} or {last}" if first else last


def _text(sentences: Iterable[str]) -> str:
    return " ".join(ended(sentence) for sentence in sentences if unended(sentence))
