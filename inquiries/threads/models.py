"""Questions and answers: one thread for each person and instrument."""

from django.conf import settings
from django.db import models

from catalog.models import Instrument
from inquiries.people.models import Contact


class Inquiry(models.Model):
    """A person asks about an instrument. Everything said on it hangs from here."""

    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="inquiries")
    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="inquiries")
    opened_at = models.DateTimeField()
    done_at = models.DateTimeField("laid aside", null=True, blank=True)

    class Meta:
        ordering = ["-opened_at", "-pk"]
        indexes = [models.Index(fields=["-opened_at"], name="inquiry_opened")]
        constraints = [
            models.UniqueConstraint(
                fields=["contact", "instrument"],
                condition=models.Q(done_at__isnull=True),
                name="one_open_inquiry",
            )
        ]

    def __str__(self) -> str:
        return f"{self.contact} about {self.instrument.name}"

    @property
    def subject(self) -> str:
        """The subject line of its mail."""
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

    inquiry = models.ForeignKey(Inquiry, on_delete=models.PROTECT, related_name="messages")
    ours = models.BooleanField()
    automatic = models.BooleanField(default=False)
    channel = models.CharField(max_length=10, choices=Channel.choices)
    body = models.TextField()
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    message_id = models.CharField(max_length=255, unique=True)
    in_reply_to = models.CharField(max_length=255, blank=True)
    references = models.TextField(blank=True)
    delivery = models.CharField(max_length=8, choices=Delivery.choices, default=Delivery.NONE)
    trouble = models.CharField("why it was not sent", max_length=300, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["inquiry", "at"], name="message_in_thread")]

    def __str__(self) -> str:
        return f"{'Ours' if self.ours else 'Theirs'}, {self.get_channel_display()}"
