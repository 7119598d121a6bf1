"""Part by part: what is original, what is not, and how we know."""

from django.conf import settings
from django.db import models

from catalog.dating.dated import Dated
from catalog.instruments.models import Instrument, Part
from catalog.papers.models import Paper
from catalog.pictures.models import Photograph
from shop.wording import gettext_lazy


class Finding(Dated):
    """What was found about one part. A part without a finding has not been examined.

    `when` is the date of the work that changed the part, not that of the examination.
    """

    class State(models.TextChoices):
        ORIGINAL = "original", gettext_lazy("Original")
        NEVER_FITTED = "never-fitted", gettext_lazy("Never fitted")
        REPAIRED = "repaired", gettext_lazy("Original, repaired")
        REFINISHED = "refinished", gettext_lazy("Refinished or re-plated")
        PERIOD = "period", gettext_lazy("Period-correct replacement")
        LATER = "later", gettext_lazy("Later replacement")
        REPRODUCTION = "reproduction", gettext_lazy("Reproduction")
        MISSING = "missing", gettext_lazy("Missing")
        NOT_EXAMINED = "not-examined", gettext_lazy("Not examined")
        UNKNOWN = "unknown", gettext_lazy("Unknown")

    class Seen(models.TextChoices):
        EYE = "eye", gettext_lazy("Seen")
        LOUPE = "loupe", gettext_lazy("Seen with a loupe")
        ULTRAVIOLET = "ultraviolet", gettext_lazy("Seen under ultraviolet light")
        INSIDE = "inside", gettext_lazy("Seen inside, by mirror or camera")
        APART = "apart", gettext_lazy("Seen taken apart")
        MEASURED = "measured", gettext_lazy("Measured")
        PAPER = "paper", gettext_lazy("From a paper")
        TOLD = "told", gettext_lazy("As told to us")

    class Certainty(models.TextChoices):
        CERTAIN = "certain", "Certain"
        LIKELY = "likely", "Likely"
        DOUBTFUL = "doubtful", "In doubt"

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="findings")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    state = models.CharField(max_length=14, choices=State.choices)
    seen = models.CharField("how it was seen", max_length=12, choices=Seen.choices, blank=True)
    certainty = models.CharField(max_length=10, choices=Certainty.choices, default=Certainty.CERTAIN)
    evidence = models.CharField("how we know", max_length=300, blank=True)
    note = models.CharField("note for the buyer", max_length=300, blank=True)
    work_by = models.CharField(
        "who did the work", max_length=120, blank=True, help_text="Never leaves the desk."
    )
    photograph = models.ForeignKey(
        Photograph,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="+",
        verbose_name="picture that shows it",
    )
    paper = models.ForeignKey(
        Paper,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="+",
        verbose_name="paper that says so",
    )
    original_kept = models.BooleanField("the original part comes with it", default=False)
    original_where = models.CharField(
        "where it lies", max_length=120, blank=True, help_text="In the case, in a box …"
    )
    seen_by = models.CharField(
        "who saw it, if not you", max_length=120, blank=True, help_text="Never leaves the desk."
    )
    examined_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    examined_at = models.DateTimeField()

    class Meta:
        ordering = ["part__position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "part"], name="one_finding_a_part"),
            models.CheckConstraint(
                condition=models.Q(state__in=["not-examined", "unknown", "missing"])
                | ~models.Q(evidence="")
                | ~models.Q(seen=""),
                name="finding_has_evidence",
            ),
            models.CheckConstraint(
                condition=models.Q(original_kept=False)
                | models.Q(state__in=["period", "later", "reproduction", "missing"]),
                name="original_kept_when_not_fitted",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.get_state_display()}"
