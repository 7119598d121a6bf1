"""What a file really is, by its first bytes, and whether its name and its sender say the same. Nothing is opened."""

import re
import unicodedata

EXECUTABLE, UNKNOWN, TEXT = "application/x-executable", "application/octet-stream", "text/plain"

# The first bytes. From the WHATWG MIME Sniffing Standard, section 6 (pictures, sound and film, archives, PDF), and
# the published descriptions of each form: PE (Microsoft), ELF (System V ABI), Mach-O, ISO 9660, RTF.
BEGINNINGS: list[tuple[bytes, str]] = [
    (b"%PDF-", "application/pdf"),
    (b"\xff\xd8\xff", "image/jpeg"),
    (b"\x89PNG\r\n\x1a\n", "image/png"),
    (b"GIF87a", "image/gif"),
    (b"GIF89a", "image/gif"),
    (b"BM", "image/bmp"),
    (b"II*\x00", "image/tiff"),
    (b"MM\x00*", "image/tiff"),
    (b"ID3", "audio/mpeg"),
    (b"OggS", "application/ogg"),
    (b"fLaC", "audio/flac"),
    (b"\x1aE\xdf\xa3", "video/webm"),
    (b"PK\x03\x04", "application/zip"),
    (b"PK\x05\x06", "application/zip"),
    (b"Rar!\x1a\x07", "application/vnd.rar"),
    (b"7z\xbc\xaf\x27\x1c", "application/x-7z-compressed"),
    (b"\x1f\x8b\x08", "application/gzip"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "application/x-ole-storage"),
    (b"{\\rtf", "application/rtf"),
    (b"MZ", EXECUTABLE),
    (b"\x7fELF", EXECUTABLE),
    (b"\xfe\xed\xfa\xce", EXECUTABLE),
    (b"\xfe\xed\xfa\xcf", EXECUTABLE),
    (b"\xce\xfa\xed\xfe", EXECUTABLE),
    (b"\xcf\xfa\xed\xfe", EXECUTABLE),
    (b"#!", EXECUTABLE),
    (b"L\x00\x00\x00\x01\x14\x02\x00", EXECUTABLE),
]
BOXES = {  # ISO/IEC 14496-12: the brand stands behind “ftyp”
    b"heic": "image/heic",
    b"heix": "image/heic",
    b"mif1": "image/heic",
    b"avif": "image/avif",
    b"avis": "image/avif",
    b"qt  ": "video/quicktime",
    b"M4A ": "audio/mp4",
}
RIFFS = {b"WEBP": "image/webp", b"WAVE": "audio/wav", b"AVI ": "video/x-msvideo"}
MARKUP = re.compile(
    rb"\s*(?:<!--.*?-->\s*)*<(?:!doctype\s+html|html|head|body|script|svg|iframe)\b", re.I | re.S
)
PICTURES = {"image/jpeg", "image/png", "image/webp", "image/tiff", "image/heic", "image/avif"}

NAMES = {
    "application/pdf": "a PDF",
    "application/zip": "an archive (ZIP)",
    "application/x-ole-storage": "an office document of the older kind",
    EXECUTABLE: "a program",
    "text/html": "a web page",
    TEXT: "plain text",
    UNKNOWN: "of a kind that is not known here",
}
BY_ENDING = {
    "pdf": "application/pdf",
    "jpg": "image/jpeg",
    "jpeg": "image/jpeg",
    "png": "image/png",
    "gif": "image/gif",
    "webp": "image/webp",
    "tif": "image/tiff",
    "tiff": "image/tiff",
    "heic": "image/heic",
    "avif": "image/avif",
    "bmp": "image/bmp",
    "zip": "application/zip",
    "docx": "application/zip",
    "xlsx": "application/zip",
    "odt": "application/zip",
    "ods": "application/zip",
    "mp3": "audio/mpeg",
    "wav": "audio/wav",
    "txt": TEXT,
}
# Endings that a computer runs when it is pressed; common practice, no source.
RUNS = {
    *("exe", "com", "bat", "cmd", "scr", "pif", "msi", "msp", "jar", "js", "jse", "vbs", "vbe", "wsf", "wsh"),
    *("ps1", "hta", "cpl", "lnk", "reg", "iso", "img", "vhd", "dll", "apk", "app", "dmg", "chm", "url"),
    *("docm", "xlsm", "pptm"),
}
SAME = {"image/jpg": "image/jpeg", "image/pjpeg": "image/jpeg", "image/heif": "image/heic", "text/xml": TEXT}
LONGEST_NAME = 150


def real_type(start: bytes) -> str:
    """The type that the first bytes (some hundred are enough) say."""
    if start[4:8] == b"ftyp":
        return BOXES.get(start[8:12], "video/mp4")
    if start[:4] == b"RIFF":
        return RIFFS.get(start[8:12], UNKNOWN)
    for beginning, kind in BEGINNINGS:
        if start.startswith(beginning):
            return kind
    if MARKUP.match(start[:1024]):
        return "text/html"
    return TEXT if _is_text(start[:1024]) else UNKNOWN


def _is_text(start: bytes) -> bool:
    """WHATWG MIME Sniffing, section 7.2: no byte that never stands in text."""
    return bool(start) and not re.search(rb"[\x00-\x08\x0b\x0e-\x1a\x1c-\x1f]", start)


def clean_name(name: str, number: int) -> str:
    """The name as it may be saved under: no folders, nothing unseen, nothing that turns the direction of reading."""
    seen = "".join(c for c in unicodedata.normalize("NFC", name) if unicodedata.category(c)[0] != "C")
    last = re.split(r"[\\/]", seen)[-1]
    plain = " ".join(re.sub(r"[<>:\"|?*]", "_", last).split()).strip(". ")
    if not plain:
        return f"attachment {number}"
    stem, dot, ending = plain.rpartition(".")
    if len(plain) > LONGEST_NAME and dot and len(ending) <= 10:
        return f"{stem[: LONGEST_NAME - len(ending) - 1]}.{ending}"
    return plain[:LONGEST_NAME]


def trouble_with(name: str, declared: str, real: str) -> str:
    """A sentence where name, declared type and first bytes do not say the same, or where it would run; else nothing."""
    ending = name.rpartition(".")[2].lower() if "." in name else ""
    if real == EXECUTABLE:
        return "It is a program, whatever its name says. Do not open it."
    if ending in RUNS:
        return f"A file whose name ends in .{ending} can run as a program. Do not open it unless you asked for it."
    says = BY_ENDING.get(ending, "")
    if says and not _agree(says, real):
        return f"Its name says that it is {spoken(says)}; it is {spoken(real)}."
    if declared and not _agree(declared, real):
        return f"It was sent as {spoken(declared)}; it is {spoken(real)}."
    return ""


def _agree(says: str, real: str) -> bool:
    says = SAME.get(says, says)
    if says in (real, UNKNOWN):
        return True
    if real == UNKNOWN:  # what is not known here disproves only what is known here
        return says not in {kind for _, kind in BEGINNINGS} | set(RIFFS.values()) | {
            "image/heic",
            "image/avif",
        }
    if real == TEXT:
        return not says.startswith(("image/", "audio/", "video/")) and says not in {"application/pdf"}
    if real in {"application/zip", "application/x-ole-storage"}:
        return says.startswith("application/") and says != "application/pdf"
    if says.startswith(("image/", "text/")) or says == "application/pdf":
        return False
    families = {kind.partition("/")[0] for kind in (says, real)}
    return families <= {"audio", "video", "application"}


def spoken(kind: str) -> str:
    """The type for the eye."""
    if kind in NAMES:
        return NAMES[kind]
    family, _, form = kind.partition("/")
    words = {"image": "a picture", "audio": "sound", "video": "film", "text": "text"}
    form = form.removeprefix("x-").upper()[:40]
    return f"{words[family]} ({form})" if family in words else f"a file of the kind {kind[:60]}"
