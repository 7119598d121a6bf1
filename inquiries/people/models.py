"""The people who ask and buy."""

from typing import Any

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models.functions import Lower

from catalog.models import Configuration, Kind, Maker, Model
from inquiries.people.telephones import e164
from shop.profile.queries import the_shop


class Contact(models.Model):
    """One person. Their e-mail address, in any case of letters, stands once.

    `telephone` is as it was written; `telephone_e164` the same number as ITU-T E.164 has it, when it can be read as
    one. A contact that was merged into another stays as `merged_into` says, and a merge can be undone.
    """

    class ReachBy(models.TextChoices):
        ANY = "any", "However it suits"
        MAIL = "mail", "E-mail"
        TELEPHONE = "telephone", "Telephone"
        LETTER = "letter", "Letter"

    name = models.CharField(max_length=120)
    email = models.EmailField("e-mail", blank=True)
    telephone = models.CharField(max_length=40, blank=True)
    telephone_e164 = models.CharField(max_length=16, blank=True, editable=False, db_index=True)
    address = models.TextField(blank=True)
    country = models.CharField(max_length=2, blank=True, help_text="Two letters, as in ISO 3166: US, CA, DE.")
    languages = models.CharField(
        max_length=60, blank=True, help_text="Two letters each, as in ISO 639: en, de, fr."
    )
    reach_by = models.CharField(
        "likes to be reached by", max_length=10, choices=ReachBy.choices, default=ReachBy.ANY
    )
    resale_certificate = models.CharField(
        "number of the resale certificate",
        max_length=60,
        blank=True,
        help_text="For a buyer who sells again.",
    )
    resale_state = models.CharField("issued by", max_length=60, blank=True)
    resale_until = models.DateField("good until", null=True, blank=True)
    note = models.TextField("private note", blank=True)
    created_at = models.DateTimeField()
    merged_into = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="merged_from"
    )
    erased_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(Lower("email"), condition=~models.Q(email=""), name="contact_email_once")
        ]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Keep the number in both forms. Without a country it is read as one of the shop's."""
        dialled = self.country or (the_shop().country if self.telephone else "")
        self.telephone_e164 = e164(self.telephone, dialled)
        if (fields := kwargs.get("update_fields")) is not None and {"telephone", "country"} & set(fields):
            kwargs["update_fields"] = {*fields, "telephone_e164"}
        super().save(*args, **kwargs)


class OtherAddress(models.Model):
    """One more e-mail address that a person writes from."""

    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="other_addresses")
    email = models.EmailField("e-mail")

    class Meta:
        verbose_name = "other address"
        constraints = [models.UniqueConstraint(Lower("email"), name="other_address_once")]

    def __str__(self) -> str:
        return self.email


class PostalAddress(models.Model):
    """One more place where a person lives or has things sent to, in the lines that its country writes."""

    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="postal_addresses")
    label = models.CharField("what it is", max_length=60, help_text="Home, workshop, holiday house.")
    lines = models.TextField("as on an envelope")
    country = models.CharField(max_length=2, blank=True)

    class Meta:
        verbose_name = "postal address"
        ordering = ["label", "pk"]

    def __str__(self) -> str:
        return self.label


class OwnedPiece(models.Model):
    """A piece that a person has, as far as we know."""

    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="owned")
    what = models.CharField("what it is", max_length=200)
    note = models.CharField("private note", max_length=300, blank=True)
    noted_at = models.DateTimeField()

    class Meta:
        verbose_name = "piece owned"
        ordering = ["what", "pk"]

    def __str__(self) -> str:
        return self.what


class Merge(models.Model):
    """Two contacts were one person. `moved` says which rows went over and what was filled in: it can be undone."""

    kept = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="+")
    gone = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="+")
    moved = models.JSONField(default=dict)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at"]
        constraints = [
            models.UniqueConstraint(
                fields=["gone"], condition=models.Q(undone_at__isnull=True), name="merged_once"
            ),
            models.CheckConstraint(condition=~models.Q(kept=models.F("gone")), name="merge_of_two"),
        ]

    def __str__(self) -> str:
        return f"{self.gone} into {self.kept}"


class NotTheSame(models.Model):
    """Two contacts that look like one person and are not; they are not suggested again."""

    first = models.ForeignKey(Contact, on_delete=models.CASCADE, related_name="+")
    second = models.ForeignKey(Contact, on_delete=models.CASCADE, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name = "not the same person"
        constraints = [
            models.UniqueConstraint(fields=["first", "second"], name="told_apart_once"),
            models.CheckConstraint(
                condition=models.Q(first__lt=models.F("second")), name="told_apart_in_order"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first} is not {self.second}"


class Want(models.Model):
    """What somebody seeks and did not find here: in their words, the catalogue's choices, and what can be matched.

    A wish from the public form counts once its mail address is confirmed; one from the desk at once. What is left
    empty is left open.
    """

    class Source(models.TextChoices):
        FORM = "form", "Form on the site"
        DESK = "desk", "Taken down at the desk"

    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="wants")
    sought = models.TextField("what is sought")
    narrowing = models.CharField("choices made in the catalogue", max_length=600, blank=True)
    source = models.CharField(max_length=5, choices=Source.choices, default=Source.FORM)
    kind = models.ForeignKey(Kind, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    maker = models.ForeignKey(Maker, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    model = models.ForeignKey(Model, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    configuration = models.ForeignKey(
        Configuration, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    made_from = models.PositiveSmallIntegerField("made from, year", null=True, blank=True)
    made_to = models.PositiveSmallIntegerField("made to, year", null=True, blank=True)
    word_at_least = models.CharField("originality at least", max_length=20, blank=True)
    price_up_to = models.DecimalField(
        "up to which price",
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    until = models.DateField("until when", null=True, blank=True)
    asked_at = models.DateTimeField()
    confirmed_at = models.DateTimeField(null=True, blank=True)
    unsubscribed_at = models.DateTimeField("mail no longer wished", null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(sought=""), name="want_has_words"),
            models.CheckConstraint(
                condition=models.Q(made_from__isnull=True)
                | models.Q(made_to__isnull=True)
                | models.Q(made_from__lte=models.F("made_to")),
                name="want_years_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.sought
