"""`manage.py words`: bring the words of each further language up to what is said, and say what is not translated."""

from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog
from django.core.management.base import BaseCommand, CommandError, CommandParser

from shop.languages.addresses import marked
from shop.languages.gathering import gather
from shop.languages.wordlist import (
    as_mo,
    as_po,
    brought_up,
    is_translated,
    key_of,
    mo_path,
    po_path,
    put,
    read,
    unlike_places,
    untranslated,
)


class Command(BaseCommand):
    """Gather the messages, keep the translations, let go of those that nothing says, and pack the file."""

    help = "Gather what the public side says into shop/locale, keep what is translated, and pack it."

    def add_arguments(self, parser: CommandParser) -> None:
        """Translations that came in, and whether to list what is missing."""
        parser.add_argument(
            "--take", nargs="*", default=[], metavar="FILE.po", help="translations to take in"
        )
        parser.add_argument("--language", default="", help="their language, where there is more than one")
        parser.add_argument(
            "--missing", action="store_true", help="list what is not translated; write nothing"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """One list for each language that stands in the address."""
        gathered, taken = gather(), self._taken([Path(name) for name in options["take"]], options["language"])
        for code in marked():
            words = brought_up(gathered, code, read(po_path(code), code), *taken.get(code, []))
            lacking = {key_of(message) for message in untranslated(words)}
            if options["missing"]:
                rest = {key: said for key, said in gathered.items() if key in lacking}
                self.stdout.write(as_po(brought_up(rest, code)).decode(), ending="")
                continue
            put(po_path(code), as_po(words))
            put(mo_path(code), as_mo(words))
            self.stdout.write(f"{code}: {len(words)} messages, {len(lacking)} not translated.")
            self._tell_of_places(words)

    def _taken(self, paths: list[Path], code: str) -> dict[str, list[Catalog]]:
        """The lists that came in, by their language."""
        codes = [code] if code else marked()
        if paths and (len(codes) != 1 or codes[0] not in marked()):
            raise CommandError(f"Say which language it is: --language {' or '.join(marked())}.")
        if lost := next((path for path in paths if not path.is_file()), None):
            raise CommandError(f"There is no file {lost}.")
        return {codes[0]: [read(path, codes[0]) for path in paths]} if paths else {}

    def _tell_of_places(self, words: Catalog) -> None:
        for message in words:
            if message.id and is_translated(message) and (unlike := unlike_places(message)):
                self.stdout.write(f"  Its places differ ({', '.join(sorted(unlike))}): {key_of(message)[0]}")
