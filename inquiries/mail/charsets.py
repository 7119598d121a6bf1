"""Bytes of a mail as text, whatever character set it says, and whether or not that is true. Nothing here raises."""

import codecs
import re

# What a name means in practice: WHATWG, Encoding Standard, section 4.2, for the sets that senders name too small
# (gb2312 where gbk is meant, and so on); the rest are names that Python has not.
MEANT = {
    "iso-8859-1": "cp1252",
    "latin1": "cp1252",
    "us-ascii": "cp1252",
    "ascii": "cp1252",
    "iso-8859-9": "cp1254",
    "iso-8859-11": "cp874",
    "tis-620": "cp874",
    "gb2312": "gb18030",
    "gbk": "gb18030",
    "x-gbk": "gb18030",
    "gb_2312-80": "gb18030",
    "big5": "big5hkscs",
    "x-x-big5": "big5hkscs",
    "shift_jis": "cp932",
    "shift-jis": "cp932",
    "sjis": "cp932",
    "x-sjis": "cp932",
    "euc-kr": "cp949",
    "ks_c_5601-1987": "cp949",
    "ks_c_5601": "cp949",
    "iso-2022-jp": "iso2022_jp_ext",
    "x-mac-roman": "mac_roman",
    "macintosh": "mac_roman",
    "x-mac-cyrillic": "mac_cyrillic",
    "iso-8859-8-i": "iso8859_8",
    "unicode-1-1-utf-7": "utf-7",
    "x-unicode-2-0-utf-7": "utf-7",
    "utf-8mb4": "utf-8",
}
# Python's own ways of writing text, which no mail is written in.
NOT_OF_MAIL = {"idna", "punycode", "unicode_escape", "raw_unicode_escape", "undefined", "mbcs", "oem"}
NOT_TEXT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff]")


def decoded(data: bytes, charset: str = "") -> str:
    """The text: as it says, else as UTF-8, else as what most of the West wrote before; `unknown-8bit` says nothing."""
    codec = _codec(charset)
    for attempt in filter(None, (codec, "utf-8")):
        try:
            return clean(data.decode(attempt))
        except (UnicodeError, LookupError):
            continue
    try:
        read = data.decode(codec or "cp1252", "replace")
    except (UnicodeError, LookupError):
        return clean(data.decode("latin-1"))
    untrue = codec == "utf-8" and set(filter(lambda c: not c.isascii(), read)) == {"\ufffd"}
    return clean(data.decode("cp1252", "replace") if untrue else read)


def clean(text: str) -> str:
    """The text with line ends of one kind and without what no database keeps (NUL, halves of characters)."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").removeprefix("\ufeff")
    return NOT_TEXT.sub(lambda found: "" if found.group() < "\x20" else "\ufffd", text)


def _codec(charset: str) -> str:
    """The codec for a name; nothing when there is none, or when the name says nothing of the text.

    ASCII is tried as UTF-8 first: who says ASCII and sends other letters most often means that.
    """
    name = charset.strip().strip("\"'").lower()
    if name in {"us-ascii", "ascii", ""}:
        return ""
    try:
        codec = codecs.lookup(MEANT.get(name, name))
    except (LookupError, ValueError, UnicodeError):
        return ""
    known_to_python_only = codec.name.replace("-", "_") in NOT_OF_MAIL
    return "" if known_to_python_only or not codec._is_text_encoding else codec.name
