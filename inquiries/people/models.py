"""The people who ask and buy."""

from django.db import models
from django.db.models.functions import Lower


class Contact(models.Model):
    """One person. Their e-mail address, in any case of letters, stands once."""

    name = models.CharField(max_length=120)
    email = models.EmailField("e-mail", blank=True)
    telephone = models.CharField(max_length=40, blank=True)
    address = models.TextField(blank=True)
    country = models.CharField(max_length=2, blank=True, help_text="Two letters, as in ISO 3166: US, CA, DE.")
    note = models.TextField("private note", blank=True)
    created_at = models.DateTimeField()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(Lower("email"), condition=~models.Q(email=""), name="contact_email_once")
        ]

    def __str__(self) -> str:
        return self.name


class Want(models.Model):
    """What somebody seeks and did not find here: in their words, and the catalogue's choices they had made."""

    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="wants")
    sought = models.TextField("what is sought")
    narrowing = models.CharField("choices made in the catalogue", max_length=600, blank=True)
    asked_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at"]
        constraints = [models.CheckConstraint(condition=~models.Q(sought=""), name="want_has_words")]

    def __str__(self) -> str:
        return self.sought
