"""Rules of borders as dated rows, the end of a rule, and checks as they were on their day. All are facts."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from catalog.materials.models import Material
from catalog.models import Instrument
from inquiries.sales.models import Sale
from shop.facts import Fact


class BorderRule(Fact):
    """One rule of one law: what it concerns, on which way, from when until when, and what it asks for."""

    class Way(models.TextChoices):
        CROSSING = "crossing", "Crossing a border"
        LEAVING = "leaving", "Leaving one of the countries"
        ENTERING = "entering", "Entering one of the countries"
        EITHER = "either", "Leaving or entering one of the countries"
        INSIDE = "inside", "Staying inside one of the countries"

    class Outcome(models.TextChoices):
        REFUSED = "refused", "Generally refused"
        NEEDED = "needed", "Likely needed"
        ASK = "ask", "Ask the authority"
        CLASS = "class", "Likely class"

    class Certainty(models.TextChoices):
        READ = "read", "Read in the source named"
        SECOND = "second", "Read in another’s account"
        NOTED = "noted", "From notes that name the source"
        MEMORY = "memory", "From memory, not read"

    law = models.CharField("law", max_length=120)
    says = models.CharField("what it asks for", max_length=400)
    otherwise = models.CharField("what is said when it does not bite", max_length=400, blank=True)
    taxa = models.CharField(
        "scientific names",
        max_length=400,
        blank=True,
        help_text="Species or genera, with commas between. Empty: all of what it comes from, or the piece as a whole.",
    )
    without = models.CharField("but not", max_length=400, blank=True)
    sort = models.CharField(
        "what it comes from", max_length=8, choices=[("", "Any"), *Material.Sort.choices], blank=True
    )
    way = models.CharField("on which way", max_length=8, choices=Way.choices, default=Way.CROSSING)
    countries = models.CharField(
        max_length=200,
        blank=True,
        help_text="Two letters each: US, GB; EU for the Union. Empty: every country.",
    )
    since = models.DateField("in force from", null=True, blank=True)
    until = models.DateField("until, that day not among them", null=True, blank=True)
    applies_if = models.TextField("only if", blank=True)
    unless = models.TextField("but not if", blank=True)
    outcome = models.CharField("what follows", max_length=8, choices=Outcome.choices, default=Outcome.NEEDED)
    source = models.CharField(max_length=300)
    read_on = models.DateField("read on", null=True, blank=True)
    certainty = models.CharField(max_length=8, choices=Certainty.choices)
    key = models.CharField(max_length=60, unique=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name = "rule of borders"
        ordering = ["law", "pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(source=""), name="border_rule_has_source"),
            models.CheckConstraint(
                condition=Q(certainty="memory") | Q(read_on__isnull=False), name="border_rule_was_read"
            ),
            models.CheckConstraint(
                condition=Q(since__isnull=True) | Q(until__isnull=True) | Q(since__lt=models.F("until")),
                name="border_rule_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.law}: {self.says}"


class RetiredRule(Fact):
    """A rule that is tried no longer, and why. Checks that were kept still show it."""

    rule = models.OneToOneField(BorderRule, on_delete=models.PROTECT, related_name="retired")
    why = models.CharField(max_length=200)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    def __str__(self) -> str:
        return self.why


class BorderCheck(Fact):
    """A check that was kept: what was put in, and each line as it stood on that day."""

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="border_checks")
    sale = models.ForeignKey(
        Sale, null=True, blank=True, on_delete=models.PROTECT, related_name="border_checks"
    )
    inputs = models.JSONField()
    lines = models.JSONField()
    entry = models.CharField(max_length=36, unique=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "check of borders"
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.inputs['From']} to {self.inputs['To']}"
