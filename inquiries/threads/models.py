"""Questions and answers: one thread for each person and instrument."""

from django.conf import settings
from django.db import models

from catalog.models import Instrument
from inquiries.people.models import Contact


class Inquiry(models.Model):
    """A person asks about an instrument, or about another `matter`. Everything said on it hangs from here.

    `last_at` (the last word, or the opening) and `waiting_since` (the first word of theirs that still waits for
    us) are copies of what the messages say, kept so that lists of many threads stay quick; each deed that adds a
    message sets them in its own transaction (inquiries/threads/turns.py).
    """

    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="inquiries")
    instrument = models.ForeignKey(
        Instrument, null=True, blank=True, on_delete=models.PROTECT, related_name="inquiries"
    )
    matter = models.CharField("what it is about", max_length=200, blank=True)
    opened_at = models.DateTimeField()
    last_at = models.DateTimeField(null=True, blank=True, editable=False)
    waiting_since = models.DateTimeField(null=True, blank=True, editable=False)
    follow_up_on = models.DateField("look at it again on", null=True, blank=True)
    follow_up_note = models.CharField("why", max_length=200, blank=True)
    done_at = models.DateTimeField("laid aside", null=True, blank=True)

    class Meta:
        ordering = ["-opened_at", "-pk"]
        indexes = [
            models.Index(fields=["-opened_at"], name="inquiry_opened"),
            models.Index(fields=["done_at", "waiting_since", "-last_at", "-id"], name="inquiry_waiting"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["contact", "instrument"],
                condition=models.Q(done_at__isnull=True),
                name="one_open_inquiry",
            ),
            models.CheckConstraint(
                condition=models.Q(instrument__isnull=False) | ~models.Q(matter=""),
                name="inquiry_has_a_matter",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.contact} about {self.about}"

    @property
    def about(self) -> str:
        """What it is about, in words."""
        return self.instrument.name if self.instrument else self.matter

    @property
    def heading(self) -> str:
        """What it is about as lists name it: number and name of the piece, or the matter."""
        return f"No. {self.instrument.stock_id}, {self.instrument.name}" if self.instrument else self.matter

    @property
    def subject(self) -> str:
        """The subject line of its mail."""
        if self.instrument is None:
            return self.matter
        return f"{self.instrument.title} (no. {self.instrument.stock_id})"


class Message(models.Model):
    """One thing said, by them or by us, as it was said."""

    class Channel(models.TextChoices):
        FORM = "form", "Form on the site"
        MAIL = "mail", "E-mail"
        TELEPHONE = "telephone", "Telephone"
        VISIT = "visit", "Visit"
        LETTER = "letter", "Letter"

    class Delivery(models.TextChoices):
        NONE = "none", "Not sent by mail"
        WAITING = "waiting", "Waiting to be sent"
        SENDING = "sending", "Being sent"
        SENT = "sent", "Sent"
        STUCK = "stuck", "Not sent"
        UNSURE = "unsure", "May have gone"
        LEFT = "left", "Left as it is"

    inquiry = models.ForeignKey(Inquiry, on_delete=models.PROTECT, related_name="messages")
    ours = models.BooleanField()
    automatic = models.BooleanField(default=False)
    channel = models.CharField(max_length=10, choices=Channel.choices)
    body = models.TextField()
    quoted = models.TextField("what it quotes", blank=True)
    at = models.DateTimeField()
    needs_no_answer = models.BooleanField(default=False)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    message_id = models.CharField(max_length=255, unique=True)
    in_reply_to = models.CharField(max_length=255, blank=True)
    references = models.TextField(blank=True)
    delivery = models.CharField(max_length=8, choices=Delivery.choices, default=Delivery.NONE)
    trouble = models.CharField("why it was not sent", max_length=300, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    wire = models.TextField("the mail as it goes out", blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    next_try_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["inquiry", "at"], name="message_in_thread")]

    def __str__(self) -> str:
        return f"{'Ours' if self.ours else 'Theirs'}, {self.get_channel_display()}"

    @property
    def held_up(self) -> bool:
        """Whether its mail has not gone, or may not have, and somebody at the desk should know."""
        troubled = self.delivery == self.Delivery.WAITING and bool(self.trouble)
        return troubled or self.delivery in {self.Delivery.STUCK, self.Delivery.UNSURE}
