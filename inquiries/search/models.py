"""The words that the threads say, each with the threads that say it.

All of it is computed from the letters (inquiries/search/words.py) and can be made again at any time.
"""

from django.db import models

from catalog.search.tables import Words
from inquiries.threads.models import Inquiry


class WrittenWord(models.Model):
    """A word that stands in some thread, as catalog.search.rules.words_of reads it."""

    word = models.CharField(max_length=60, unique=True)

    class Meta:
        verbose_name = "written word"

    def __str__(self) -> str:
        return self.word


class WordOfThread(models.Model):
    """That a thread says a word: in the name of its person or piece, or in what was said."""

    known = models.ForeignKey(WrittenWord, on_delete=models.CASCADE, related_name="said", db_index=False)
    inquiry = models.ForeignKey(Inquiry, on_delete=models.CASCADE, related_name="words")
    in_name = models.BooleanField(default=False)

    class Meta:
        verbose_name = "word of a thread"
        constraints = [models.UniqueConstraint(fields=["known", "inquiry"], name="thread_says_once")]
        indexes = [models.Index(fields=["known", "in_name", "inquiry"], name="thread_by_word")]

    def __str__(self) -> str:
        return f"{self.inquiry_id}: {self.known_id}"


LETTERS = Words(WrittenWord, WordOfThread, "inquiry")
