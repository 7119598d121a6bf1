"""Signs where fraud usually enters, read off what the other side wrote. They decide nothing, and are never sent.

Common practice, no source: these are the signs that banks, carriers and the trade warn of, and an honest buyer may
show any of them. Each sign says why it is pointed out, and what is usually done.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from enum import StrEnum


class Sign(StrEnum):
    """One sign; the value names it in the page."""

    OVERPAYMENT = "overpayment"
    FORWARDER = "forwarder"
    BANK_DETAILS = "bank-details"
    RUSH = "rush"
    NO_TELEPHONE = "no-telephone"
    OTHER_ADDRESS = "other-address"


@dataclass(frozen=True)
class Reason:
    """What a sign is called, why it is pointed out, and what is usually done about it."""

    name: str
    why: str
    usual: str


REASONS = {
    Sign.OVERPAYMENT: Reason(
        "More money than is owed",
        "A check for too much is sent, the surplus is asked back, and weeks later the check turns out to be worthless.",
        "Accept the exact sum only. Send nothing back before the bank calls the money final, not only available.",
    ),
    Sign.FORWARDER: Reason(
        "A forwarder or agent collects it",
        "Goods handed to an agent are hard to call back, and his fee is often what the surplus is asked for.",
        "Ship to the buyer’s own address, as the payment shows it, or see an identity paper when it is collected.",
    ),
    Sign.BANK_DETAILS: Reason(
        "Bank details are said to have changed",
        "Mail accounts are broken into, and an invoice is sent on with another account.",
        "Ask by telephone, on a number known from before, whether it is true. Do not use a number from that mail.",
    ),
    Sign.RUSH: Reason(
        "Pressed for time",
        "Haste is meant to keep a check from being read and a name from being looked up.",
        "Keep to the usual steps. They take as long as they take.",
    ),
    Sign.NO_TELEPHONE: Reason(
        "Will not telephone",
        "A voice is harder to borrow than a name.",
        "Offer a time for a call, or a call with picture to look at the piece. Some people cannot telephone: another "
        "way to know somebody is a bill, a reference, a letter.",
    ),
    Sign.OTHER_ADDRESS: Reason(
        "Writes from more than one address",
        "One of the two may be somebody else, who has read the letters.",
        "Ask in a new letter to the address known from before.",
    ),
}

# Each pattern is looked for within one sentence, in any case of letters.
GAP = r"[^.!?\n]{0,60}?"
AGENTS = (
    "shipper|shipping agent|shipping company|freight agent|freight forwarder|forwarding agent|forwarder|movers?|"
    "courier|pick-?up agent"
)
SURPLUS = "difference|excess|surplus|remainder|rest of the money"
BANK = "bank account|banking|bank|account|wire|routing|IBAN"
CALLING = "talk|speak|call|phone|telephone|take calls|receive calls|use a phone|use the phone|use my phone"
CANNOT = "can ?not|can['’]?t|unable to|am not able to|won['’]?t|will not|do not|don['’]?t|prefer not to"
PATTERNS: dict[Sign, tuple[str, ...]] = {
    Sign.OVERPAYMENT: (
        rf"\b(?:check|cheque|money order|draft|payment){GAP}\b(?:for more|in excess|extra|more than)",
        rf"\b(?:send|wire|refund|return|forward|pay)\b{GAP}\b(?:the )?(?:{SURPLUS})",
        r"\bover-?pa(?:y|id|yment)\b",
    ),
    Sign.FORWARDER: (
        rf"\b(?:my|our|a|the|through)\s+(?:own\s+)?(?:{AGENTS})\b",
        rf"\b(?:agent|mover|shipper|courier|driver){GAP}\b(?:will|shall|can|to)\s+(?:come|collect|pick)",
    ),
    Sign.BANK_DETAILS: (
        rf"\b(?:new|changed|updated|different|another)\b{GAP}\b(?:{BANK})\b(?: (?:details|number|instructions))?",
        rf"\b(?:{BANK})\b{GAP}\b(?:has changed|have changed|has been changed|is new|is closed|under audit)",
        rf"\b(?:use|pay|wire|send)\b{GAP}\b(?:this|the following) account\b",
    ),
    Sign.RUSH: (
        r"\burgent(?:ly)?\b",
        r"\bas soon as possible\b|\basap\b",
        rf"\b(?:must|need|have|has)\b{GAP}\b(?:today|immediately|right away|within the hour|before tonight)\b",
        r"\b(?:in a|great) hurry\b",
    ),
    Sign.NO_TELEPHONE: (
        rf"\b(?:{CANNOT})\s+(?:{CALLING})\b",
        r"\bno (?:phone|telephone) calls?\b|\btext (?:me )?only\b|\bonly by (?:text|mail|e-?mail)\b",
        r"\b(?:hearing impaired|hard of hearing|at sea|off-?shore|oil rig|deployed)\b",
    ),
}
READ = {sign: [re.compile(each, re.IGNORECASE) for each in patterns] for sign, patterns in PATTERNS.items()}
DENIED = re.compile(r"\b(?:no|not|never|isn['’]t|is not)\s+(?:at all\s+)?$|\bno\s+$", re.IGNORECASE)


@dataclass(frozen=True)
class Found:
    """A sign, with the words in which it was seen, each once, in their order."""

    sign: Sign
    words: tuple[str, ...] = field(default=())

    @property
    def reason(self) -> Reason:
        """Why it is pointed out."""
        return REASONS[self.sign]


def signs_in(texts: Iterable[str], *, other_addresses: Iterable[str] = ()) -> list[Found]:
    """The signs in what the other side wrote, in a fixed order.

    `other_addresses` are addresses of mail in the thread that the person was not known by.
    """
    read = list(texts)
    found = [(sign, tuple(dict.fromkeys(_words(read, sign)))) for sign in PATTERNS]
    found.append((Sign.OTHER_ADDRESS, tuple(dict.fromkeys(other_addresses))))
    return [Found(sign, words) for sign, words in found if words]


def _words(texts: list[str], sign: Sign) -> Iterator[str]:
    for text in texts:
        spans = sorted(match.span() for pattern in READ[sign] for match in pattern.finditer(text))
        end = -1
        for first, last in spans:
            if first >= end and not DENIED.search(text[:first][-20:]):
                yield " ".join(text[first:last].split())
                end = last
