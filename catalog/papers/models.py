"""Papers that speak for an instrument: kept as received, and never handed to the public."""

from django.conf import settings
from django.db import models

from catalog.dating.dated import Dated
from catalog.instruments.models import Instrument
from shop.wording import gettext_lazy as _


class Paper(Dated):
    """One paper. Its file, if there is one, lies under its hash; a paper seen elsewhere has none."""

    class Kind(models.TextChoices):
        BILL = "bill", _("Bill of sale")
        RECEIPT = "receipt", _("Earlier receipt")
        LEDGER = "ledger", _("Page of a factory ledger")
        CATALOGUE = "catalogue", _("Catalogue page")
        TICKET = "ticket", _("Warranty or price ticket")
        LETTER = "letter", _("Letter")
        PICTURE = "picture", _("Old photograph")
        REPAIR = "repair", _("Repair invoice")
        APPRAISAL = "appraisal", _("Appraisal")
        OWNERSHIP = "ownership", _("Statement of ownership")
        OTHER = "other", _("Other paper")

    class Copy(models.TextChoices):
        ORIGINAL = "original", "The paper itself"
        COPY = "copy", "A copy"
        SEEN = "seen", "Seen, not here"

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="papers")
    kind = models.CharField("what it is", max_length=10, choices=Kind.choices, default=Kind.OTHER)
    title = models.CharField(
        "in a few words", max_length=200, help_text="Shown to buyers when the paper may be named."
    )
    copy = models.CharField("what we have", max_length=8, choices=Copy.choices, default=Copy.ORIGINAL)
    comes_along = models.BooleanField("comes with the instrument", default=False)
    public = models.BooleanField("may be named to buyers", default=False)
    from_whom = models.CharField(
        "from whom it came", max_length=120, blank=True, help_text="Never leaves the desk."
    )
    note = models.CharField("private note", max_length=300, blank=True)
    original_name = models.CharField(max_length=255, blank=True)
    sha256 = models.CharField(max_length=64, blank=True)
    suffix = models.CharField(max_length=5, blank=True)
    bytes = models.PositiveBigIntegerField(null=True, blank=True)
    token = models.CharField(max_length=32, unique=True, editable=False)
    received_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["when_earliest", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(sha256="", bytes__isnull=True)
                | ~models.Q(sha256="") & models.Q(bytes__isnull=False),
                name="paper_file_whole",
            ),
        ]

    def __str__(self) -> str:
        return self.title
