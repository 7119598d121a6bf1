"""The catalogue with 100,000 listed pieces against 1,000: the page, narrowed states of it, and searches.

.venv/bin/python -m tests.benchmarks.catalogue

The pieces, and the shelf that the catalogue reads, are written in bulk into an SQLite file. Every page is made anew:
no kept page is handed out, only the shelf is in memory, as in the running shop. It prints medians of this process’s
own time, in which SQLite works too, and their ratios.
"""

import random
import statistics
import time
from collections.abc import Iterator
from datetime import timedelta

from tests.support import environment

environment.prepare()

from django.core.management import call_command  # noqa: E402 - the environment comes first
from django.db import connection, transaction  # noqa: E402
from django.test import Client  # noqa: E402

from catalog.models import Configuration, Edition, Instrument, KnownWord, Said, Shelved, StockNumber  # noqa: E402
from catalog.originality.rules import Word  # noqa: E402
from catalog.search.rules import words_of  # noqa: E402
from catalog.search.shelf import read, the_shelf  # noqa: E402
from tests.factories import NOON, ModelFactory, ShopFactory  # noqa: E402

FEW, MANY, ROUNDS = 1000, 100_000, 25
WORDS_OF_A_PAGE, VOCABULARY = 20, 6000
PAGES = (
    "/instruments/",
    "/instruments/?page=20",
    "/instruments/?kind=banjo&originality=but-for",
    "/instruments/?price_from=1000&price_to=4999.99&sort=price-rising",
    "/instruments/?decade=1920&availability=available",
    "/instruments/?q=meadowlark",
    "/instruments/?q=maedowlark+banjo",
    "/instruments/?q=wq17ab&kind=banjo",
)
LETTERS = "abcdefghijklmnoprstuvw"


class Stock:
    """Invented pieces in any number, always the same ones."""

    def __init__(self) -> None:
        self.chance = random.Random(1927)
        self.models = [
            ModelFactory(name=name) for name in ("Meadowlark", "Nightjar", "Bluebell", "Quadrangle")
        ]
        self.sheets = list(Configuration.objects.select_related("kind"))
        names = [word for model in self.models for word in words_of(str(model))]
        names += [word for sheet in self.sheets for word in words_of(f"{sheet.name} {sheet.kind.name}")]
        invented = (
            "".join(self.chance.choices(LETTERS, k=self.chance.randint(4, 10))) for _ in range(VOCABULARY)
        )
        words = sorted({*names, *invented})
        KnownWord.objects.bulk_create([KnownWord(word=word) for word in words], batch_size=2000)
        self.keys = dict(KnownWord.objects.values_list("word", "pk"))
        self.body = [self.keys[word] for word in words if word not in names]

    def fill_up_to(self, number: int) -> None:
        """Add pieces, with their places on the shelf and the words of their pages."""
        first = Instrument.objects.count()
        for start in range(first, number, 5000):
            self._add(range(start, min(start + 5000, number)))
        Edition.objects.all().delete()
        Edition.objects.bulk_create([Edition(pk=1, mark=f"{number} pieces")])
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")

    @transaction.atomic
    def _add(self, places: range) -> None:
        stocks = [10_000 + place for place in places]
        StockNumber.objects.bulk_create(StockNumber(number=stock, given_at=NOON) for stock in stocks)
        made = Instrument.objects.bulk_create([self._piece(stock) for stock in stocks], batch_size=500)
        shelved = [
            Shelved(stock=row.stock_id, instrument=row, word=self.chance.choice(list(Word))) for row in made
        ]
        Shelved.objects.bulk_create(shelved, batch_size=2000)
        with connection.cursor() as cursor:
            cursor.executemany(
                f"INSERT INTO {Said._meta.db_table} (shelved_id, known_id, in_name) VALUES (%s, %s, %s)",  # noqa: S608
                [said for row in made for said in self._said(row)],
            )

    def _piece(self, stock: int) -> Instrument:
        model, sheet, year = (
            self.chance.choice(self.models),
            self.chance.choice(self.sheets),
            self.chance.randint(1885, 1942),
        )
        return Instrument(
            stock_id=stock,
            state=Instrument.State.LISTED,
            kind=sheet.kind,
            model=model,
            maker=model.maker,
            configuration_made=sheet,
            configuration_now=sheet,
            made=str(year),
            made_earliest=year,
            made_latest=year + self.chance.choice((0, 0, 3)),
            asking_price=self.chance.randint(3, 300) * 50,
            listed_at=NOON - timedelta(minutes=stock),
            created_at=NOON,
            changed_at=NOON,
        )

    def _said(self, piece: Instrument) -> Iterator[tuple[int, int, bool]]:
        name = {
            self.keys[word] for word in words_of(f"{piece.model} {piece.kind.name} {piece.configuration_now}")
        }
        yield from ((piece.stock_id, key, True) for key in name)
        body = set(self.chance.sample(self.body, WORDS_OF_A_PAGE)) - name
        yield from ((piece.stock_id, key, False) for key in body)


def median_ms(client: Client, path: str) -> float:
    """The median time of one answer, in milliseconds. A question that no page asks has it made anew each time."""
    afresh = f"{path}{'&' if '?' in path else '?'}afresh=yes"
    assert client.get(afresh).status_code == 200
    times = []
    for _ in range(ROUNDS):
        begun = time.process_time()
        client.get(afresh)
        times.append(1000 * (time.process_time() - begun))
    return statistics.median(times)


def reading_ms() -> float:
    """How long the shelf takes to be read, once after each change."""
    begun = time.process_time()
    read("again")
    return 1000 * (time.process_time() - begun)


def main() -> None:
    """Print each page's times and their ratio."""
    call_command("migrate", verbosity=0)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA synchronous = OFF")  # nothing here outlives the run
    ShopFactory()
    client, stock = Client(), Stock()
    times: dict[int, list[float]] = {}
    for number in (FEW, MANY):
        stock.fill_up_to(number)
        assert len(the_shelf().stocks) == number
        times[number] = [*(median_ms(client, path) for path in PAGES), reading_ms()]
    print(f"{'page':<66} {FEW:>10,} {MANY:>10,}   ratio")
    for name, few, many in zip(
        [*PAGES, "(reading the shelf after a change)"], times[FEW], times[MANY], strict=True
    ):
        print(f"{name:<66} {few:8.1f}ms {many:8.1f}ms   {many / few:5.2f}")


if __name__ == "__main__":
    main()
