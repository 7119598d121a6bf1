"""The shelf: every listed piece as the catalogue finds it, and the words that its page says.

All of it is computed from the record (catalog/search/shelving.py) and can be made again at any time.
"""

from django.db import models

from catalog.instruments.models import Instrument


class Edition(models.Model):
    """Which state of the shelf this is: a mark that is new with every change. Empty: the shelf is to be filled."""

    mark = models.CharField(max_length=32, blank=True)

    class Meta:
        verbose_name = "edition of the shelf"

    def __str__(self) -> str:
        return self.mark


class Shelved(models.Model):
    """One listed piece, under its stock number, with its word on the whole."""

    stock = models.PositiveIntegerField("stock number", primary_key=True)
    instrument = models.OneToOneField(Instrument, on_delete=models.CASCADE, related_name="shelved")
    word = models.CharField("the word on the whole", max_length=20)

    class Meta:
        verbose_name = "piece on the shelf"

    def __str__(self) -> str:
        return str(self.stock)


class KnownWord(models.Model):
    """A word that some public page says, as catalog.search.rules.words_of reads it."""

    word = models.CharField(max_length=60, unique=True)

    class Meta:
        verbose_name = "known word"

    def __str__(self) -> str:
        return self.word


class Said(models.Model):
    """That a piece's page says a word: in its name, or elsewhere on the page."""

    known = models.ForeignKey(KnownWord, on_delete=models.CASCADE, related_name="said", db_index=False)
    shelved = models.ForeignKey(Shelved, on_delete=models.CASCADE, related_name="said")
    in_name = models.BooleanField(default=False)

    class Meta:
        verbose_name = "word of a page"
        constraints = [models.UniqueConstraint(fields=["known", "shelved"], name="said_once")]
        indexes = [models.Index(fields=["known", "in_name", "shelved"], name="said_by_word")]

    def __str__(self) -> str:
        return f"{self.shelved_id}: {self.known_id}"
