"""Text of a mail for the eye: what was laid out becomes lines, and what it only quotes is told from what it says."""

import html
import re
from functools import cache
from html.parser import HTMLParser

import nh3
from mailparser_reply import EmailMessage
from mailparser_reply.constants import MAIL_LANGUAGES

MOST_LETTERS = 200_000  # of a text shown; the whole message is kept beside it
MOST_MARKUP = 500_000
DEEPEST = 250  # of elements in each other; the time that a cleaner takes grows with the square of it
CUT = "\n\n(The text goes on. The whole message is kept as received.)"

# What may stand in a mail that was laid out. Nothing here loads anything; a link is followed only when it is pressed.
TAGS = {
    *("a", "abbr", "b", "blockquote", "br", "caption", "cite", "code", "dd", "del", "div", "dl", "dt", "em"),
    *("h1", "h2", "h3", "h4", "h5", "h6", "hr", "i", "ins", "kbd", "li", "ol", "p", "pre", "q", "s", "small"),
    *("span", "strong", "sub", "sup", "table", "tbody", "td", "tfoot", "th", "thead", "tr", "u", "ul"),
}
ATTRIBUTES = {"a": {"href"}, "td": {"colspan", "rowspan"}, "th": {"colspan", "rowspan"}}
UNSEEN = {"script", "style", "title", "head", "svg", "math", "template", "noscript", "textarea", "select"}
SCHEMES = {"http", "https", "mailto", "tel"}


def cleaned(markup: str) -> str:
    """The markup without anything that runs, loads, looks like our own page, or tells where its reader came from.

    Of markup that lies deeper than any program writes, only the words are left.
    """
    if _too_deep(markup[:MOST_MARKUP]):
        return f"<pre>{html.escape(_words_alone(markup[:MOST_MARKUP]))}</pre>"
    return nh3.clean(
        markup[:MOST_MARKUP],
        tags=TAGS,
        attributes=ATTRIBUTES,
        clean_content_tags=UNSEEN,
        url_schemes=SCHEMES,
        link_rel="noopener noreferrer nofollow",
    ).strip()


ELEMENT = re.compile(r"<(/?)([a-zA-Z][a-zA-Z0-9-]*)")
CLOSE_THEMSELVES = {
    *("area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"),
    *("p", "li", "td", "th", "tr", "dt", "dd", "tbody", "thead", "tfoot", "option"),
}


def _too_deep(markup: str) -> bool:
    depth = 0
    for found in ELEMENT.finditer(markup):
        if found.group(2).lower() not in CLOSE_THEMSELVES:
            depth = max(depth - 1, 0) if found.group(1) else depth + 1
            if depth > DEEPEST:
                return True
    return False


def _words_alone(markup: str) -> str:
    return html.unescape(re.sub(r"<[^<>]*>", " ", markup))


def shortened(text: str) -> str:
    """No more text than a page can show, and said so where it is cut."""
    return text if len(text) <= MOST_LETTERS else text[:MOST_LETTERS] + CUT


def text_of(clean_markup: str) -> str:
    """Cleaned markup as lines: what is quoted begins with “>”, and a link says where it leads."""
    reader = _Lines()
    try:
        reader.feed(clean_markup)
        reader.close()
    except (AssertionError, RecursionError):  # what Python's reader says of markup it cannot follow
        return _words_alone(clean_markup)
    return reader.text()


class _Lines(HTMLParser):
    """Gathers lines from cleaned markup."""

    BREAKS = {"br", "tr", "li", "dt", "dd", "hr", "caption", "pre", "blockquote", "div"}
    PARAGRAPHS = {"p", "h1", "h2", "h3", "h4", "h5", "h6", "ul", "ol", "table", "dl"}

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.lines: list[tuple[int, str]] = []
        self.line = ""
        self.depth = 0
        self.links: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A new line, a deeper quotation, or the beginning of a link."""
        self._break(tag)
        if tag == "blockquote":
            self.depth += 1
        elif tag == "li":
            self.line = "- "
        elif tag in {"td", "th"} and self.line:
            self.line += "\t"
        elif tag == "a":
            self.links.append((dict(attrs).get("href") or "", self.line))

    def handle_endtag(self, tag: str) -> None:
        """The end of what began."""
        if tag == "a" and self.links:
            address, before = self.links.pop()
            shown = self.line.removeprefix(before).strip()
            if address and shown not in {address, address.partition(":")[2].lstrip("/").rstrip("/")}:
                self.line += f" <{address}>"
        if tag != "br":
            self._break(tag)
        if tag == "blockquote":
            self.depth = max(self.depth - 1, 0)

    def handle_data(self, data: str) -> None:
        """Words; where the markup breaks its lines says nothing."""
        words = re.sub(r"[ \t\n\f]+", " ", data)
        self.line += words.lstrip(" ") if not self.line or self.line.endswith(" ") else words

    def _break(self, tag: str) -> None:
        if tag in self.BREAKS or tag in self.PARAGRAPHS:
            if self.line.strip() or tag == "br":
                self.lines.append((self.depth, self.line.strip()))
            if tag in self.PARAGRAPHS and self.lines and self.lines[-1][1]:
                self.lines.append((self.depth, ""))
            self.line = ""

    def text(self) -> str:
        """The lines, with no more than one empty between two."""
        if self.line.strip():
            self.lines.append((self.depth, self.line.strip()))
        marked = [f"{'>' * depth} {line}".strip() if depth else line for depth, line in self.lines]
        return re.sub(r"\n{3,}", "\n\n", "\n".join(marked)).strip("\n").replace("\xa0", " ")


SEEN_LINES, SEEN_LETTERS = 600, 160  # how far into a mail its head of a quotation is looked for
NO_QUOTATION = ("", "")


@cache
def _heads() -> re.Pattern[str]:
    """What mail programs of many languages write above what they quote."""
    heads: re.Pattern[str] = EmailMessage(text="", languages=sorted(MAIL_LANGUAGES)).HEADER_REGEX
    return heads


def parted(text: str) -> tuple[str, str]:
    """What a mail says, and what it only quotes at its end. Together they are the whole text.

    Where words of its own stand among what is quoted, or below it, nothing is parted: an answer written into our
    lines must be read with them.
    """
    lines = text.split("\n")
    at = _head_of_quotation(lines)
    if at is None:
        at = _tail_of_quotation(lines)
    said, quoted = "\n".join(lines[:at]), "\n".join(lines[at:])
    if not said.strip() or not quoted.strip() or _answered_inside(lines[at:]):
        return text, ""
    return said.rstrip(), quoted


def _head_of_quotation(lines: list[str]) -> int | None:
    """The line where “On … wrote:” or “From: … Sent: …” begins."""
    looked_at = [line.strip()[:SEEN_LETTERS] for line in lines[:SEEN_LINES]]
    found = _heads().search("\n".join(looked_at))
    if found is None:
        return None
    start = found.start() + (len(found.group()) - len(found.group().lstrip()))
    return "\n".join(looked_at).count("\n", 0, start)


def _tail_of_quotation(lines: list[str]) -> int:
    """The line from which on every one begins with “>”; the end when the last does not.

    The line above goes with them where it looks like “Name wrote on 8 June:” in a language that is not known here.
    """
    at = len(lines)
    for number in range(len(lines) - 1, -1, -1):
        line = lines[number].strip()
        if line.startswith(">"):
            at = number
        elif line:
            says_when = line.endswith(":") and len(line) < SEEN_LETTERS and any(map(str.isdigit, line))
            return number if at < len(lines) and says_when else at
    return at


def _answered_inside(quoted: list[str]) -> bool:
    """Whether, after the first line that begins with “>”, another does not, other than what stands under a mail."""
    marked = [number for number, line in enumerate(quoted) if line.lstrip().startswith(">")]
    if not marked:
        return False
    for line in quoted[marked[0] :]:
        said = line.strip()
        if said in {"--", "-- "} or set(said) == {"_"}:
            return False
        if said and not said.startswith(">"):
            return True
    return False


def joined_lines(text: str, *, delsp: bool = False) -> str:
    """A text that was flowed (RFC 3676) with its lines joined again, as their writer had them. What is quoted stays."""
    shown: list[str] = []
    open_line: str | None = None
    for raw in text.split("\n"):
        if raw.startswith(">"):
            shown += [line for line in (open_line,) if line is not None] + [raw]
            open_line = None
            continue
        line = (open_line or "") + raw.removeprefix(" ")
        if raw.endswith(" ") and raw != "-- ":
            open_line = line[:-1] if delsp else line
        else:
            shown.append(line)
            open_line = None
    return "\n".join(shown if open_line is None else [*shown, open_line])
