"""Holds, and what their people were told of them."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from catalog.models import Instrument
from inquiries.people.models import Contact
from inquiries.threads.models import Inquiry, Message
from shop.facts import Fact
from shop.policies.models import HousePolicy


class Hold(models.Model):
    """A promise of first refusal, or a place in the queue for it.

    `starts_at` and `until` are the span in which the promise runs (start in, end out). The spans of
    a queue follow one another, so which hold runs at an instant is read off, with nothing to wait
    for. Both are empty while an open sale stands in the way.
    """

    class State(models.TextChoices):
        ACTIVE = "active", "On hold"
        QUEUED = "queued", "In the queue"
        SALE = "sale", "Became a sale"
        RELEASED = "released", "Released"
        EXPIRED = "expired", "Expired"

    class Condition(models.TextChoices):
        FREE = "free", "Free"
        DEPOSIT = "deposit", "With a deposit"

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="holds")
    inquiry = models.ForeignKey(Inquiry, on_delete=models.PROTECT, related_name="holds")
    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="holds")
    state = models.CharField(max_length=10, choices=State.choices)
    condition = models.CharField(max_length=8, choices=Condition.choices, default=Condition.FREE)
    hours = models.PositiveIntegerField("length in hours")
    balance_hours = models.PositiveIntegerField(
        null=True, blank=True, help_text="With a deposit: how long the balance may take, from the start."
    )
    policy = models.ForeignKey(
        HousePolicy, null=True, blank=True, on_delete=models.PROTECT, related_name="+", editable=False
    )
    extended_hours = models.PositiveIntegerField("made longer by, in hours", default=0)
    extended_at = models.DateTimeField(null=True, blank=True)
    asked_at = models.DateTimeField()
    starts_at = models.DateTimeField(null=True, blank=True)
    until = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField("why it ended", max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["asked_at", "pk"]
        indexes = [models.Index(fields=["instrument", "state"], name="hold_of_instrument")]
        constraints = [
            models.UniqueConstraint(
                fields=["instrument"], condition=Q(state="active"), name="one_active_hold"
            ),
            models.UniqueConstraint(
                fields=["instrument", "contact"],
                condition=Q(state__in=["active", "queued"]),
                name="one_place_in_the_queue",
            ),
            models.CheckConstraint(
                condition=Q(starts_at__isnull=True, until__isnull=True)
                # A comparison with nothing is neither true nor false, and a check would let it pass.
                | Q(starts_at__isnull=False, until__isnull=False, starts_at__lt=models.F("until")),
                name="hold_span_in_order",
            ),
            models.CheckConstraint(
                condition=~Q(state="active") | Q(until__isnull=False), name="active_hold_has_end"
            ),
            models.CheckConstraint(
                condition=Q(state__in=["active", "queued"], ended_at__isnull=True)
                | Q(state__in=["sale", "released", "expired"], ended_at__isnull=False),
                name="ended_hold_has_instant",
            ),
            models.CheckConstraint(
                condition=Q(condition="free", balance_hours__isnull=True)
                | Q(condition="deposit", balance_hours__isnull=False, balance_hours__gte=models.F("hours")),
                name="longer_hold_needs_deposit",
            ),
            models.CheckConstraint(
                condition=Q(extended_hours=0, extended_at__isnull=True)
                | Q(extended_hours__gt=0, extended_at__isnull=False),
                name="extension_has_instant",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_state_display()}: {self.contact}"

    @property
    def terms(self) -> HousePolicy:
        """The house policy it was made under; the usual figures where none was written yet."""
        return self.policy or HousePolicy(starts=self.asked_at.date())


class HoldNotice(Fact):
    """The person of a hold was told something of it; `starts_at` and `until` are the span as it stood then."""

    class What(models.TextChoices):
        PLACED = "placed", "That it is held, and until when"
        EXTENDED = "extended", "That it is held longer"
        MOVED_UP = "moved-up", "That it is now their turn"
        ENDING = "ending", "That the hold is about to end"
        ENDED = "ended", "That the hold has ended"

    hold = models.ForeignKey(Hold, on_delete=models.PROTECT, related_name="notices")
    what = models.CharField(max_length=10, choices=What.choices)
    channel = models.CharField("how", max_length=10, choices=Message.Channel.choices)
    message = models.ForeignKey(
        Message, null=True, blank=True, on_delete=models.PROTECT, related_name="hold_notices"
    )
    note = models.CharField(max_length=200, blank=True)
    starts_at = models.DateTimeField("from when they were told", null=True, blank=True)
    until = models.DateTimeField("until when they were told", null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "notice of a hold"
        verbose_name_plural = "notices of holds"
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(starts_at__isnull=True, until__isnull=True)
                | Q(starts_at__isnull=False, until__isnull=False, starts_at__lt=models.F("until")),
                name="notice_span_in_order",
            )
        ]

    def __str__(self) -> str:
        return self.get_what_display()
