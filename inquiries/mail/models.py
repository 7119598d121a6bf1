"""Mail as received: kept whole, sorted, and joined to a thread, or laid by until somebody says where it belongs."""

from django.db import models
from django.db.models import Q

from inquiries.threads.models import Inquiry, Message


class MailFolder(models.Model):
    """How far a folder of a mailbox has been read (RFC 3501: a UID counts only under its UIDVALIDITY)."""

    name = models.CharField(max_length=255, unique=True)
    uid_validity = models.PositiveBigIntegerField(default=0)
    last_uid = models.PositiveBigIntegerField(default=0)
    looked_at = models.DateTimeField(null=True, blank=True)
    trouble = models.CharField(max_length=300, blank=True)

    class Meta:
        verbose_name = "mail folder"

    def __str__(self) -> str:
        return self.name


class ReceivedMail(models.Model):
    """One message as received, under its hash. `key` names it, so that the same message twice is one row."""

    class Sort(models.TextChoices):
        PERSON = "person", "From a person"
        BOUNCE = "bounce", "Came back undelivered"
        AUTOMATIC = "automatic", "Automatic reply"
        LIST = "list", "Mailing list"
        SPAM = "spam", "Spam"
        OWN = "own", "Sent by the shop itself"
        UNREADABLE = "unreadable", "Not readable"

    class Place(models.TextChoices):
        JOINED = "joined", "In a thread"
        GUESSED = "guessed", "Perhaps of a thread"
        ASIDE = "aside", "Laid by"

    key = models.CharField(max_length=64, unique=True)
    header_id = models.CharField("its Message-ID", max_length=255, blank=True, db_index=True)
    sha256 = models.CharField(max_length=64)
    bytes = models.PositiveBigIntegerField()
    sort = models.CharField(max_length=10, choices=Sort.choices)
    why = models.CharField("how that is known", max_length=300, blank=True)
    place = models.CharField(max_length=8, choices=Place.choices)
    guess = models.ForeignKey(
        Inquiry, null=True, blank=True, on_delete=models.SET_NULL, related_name="guessed_mail"
    )
    guess_why = models.CharField("why it is perhaps of that thread", max_length=300, blank=True)
    message = models.OneToOneField(
        Message, null=True, blank=True, on_delete=models.PROTECT, related_name="mail"
    )
    from_name = models.CharField(max_length=200, blank=True)
    from_email = models.CharField(max_length=254, blank=True)
    to = models.TextField(blank=True)
    subject = models.CharField(max_length=400, blank=True)
    body = models.TextField(blank=True)
    quoted = models.TextField("what it quotes", blank=True)
    html = models.TextField("cleaned", blank=True)
    written_at = models.DateTimeField("by its own date", null=True, blank=True)
    received_at = models.DateTimeField()
    seen_at = models.DateTimeField("looked at by us", null=True, blank=True)

    class Meta:
        verbose_name = "received mail"
        ordering = ["-received_at", "-pk"]
        indexes = [models.Index(fields=["place", "-received_at"], name="mail_in_place")]
        constraints = [
            models.CheckConstraint(
                condition=Q(place="joined", message__isnull=False)
                | ~Q(place="joined") & Q(message__isnull=True),
                name="joined_mail_has_message",
            ),
        ]

    def __str__(self) -> str:
        return self.subject or self.from_email


class Attachment(models.Model):
    """A file that came with a mail: kept under its hash, offered for download only, never opened here.

    `trouble` says in a sentence why it is to be handled with care: its name, its declared and its real type disagree.
    A picture has prints of its own, made by the worker.
    """

    class Prints(models.TextChoices):
        NONE = "none", "No picture"
        WAITING = "waiting", "Being prepared"
        READY = "ready", "Ready"
        REFUSED = "refused", "Refused"

    mail = models.ForeignKey(ReceivedMail, on_delete=models.PROTECT, related_name="attachments")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=255)
    declared_type = models.CharField(max_length=127, blank=True)
    real_type = models.CharField(max_length=127, blank=True)
    sha256 = models.CharField(max_length=64)
    bytes = models.PositiveBigIntegerField()
    trouble = models.CharField(max_length=300, blank=True)
    prints = models.CharField(max_length=8, choices=Prints.choices, default=Prints.NONE)
    token = models.CharField(max_length=32, unique=True, editable=False)

    class Meta:
        ordering = ["position"]
        constraints = [models.UniqueConstraint(fields=["mail", "position"], name="attachment_once")]

    def __str__(self) -> str:
        return self.name
