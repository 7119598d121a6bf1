"""What was found when the books were gone through."""

from typing import Any

from django.db import models

from inquiries.audit.rules import Finding
from shop.facts import Fact


class Audit(Fact):
    """One time that the books were gone through, with all that was not in order."""

    at = models.DateTimeField()
    found: Any = models.JSONField(default=list)

    class Meta:
        verbose_name = "audit"
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["-at"], name="audit_at")]

    def __str__(self) -> str:
        return f"Audit of {self.at:%-d %B %Y}"

    @property
    def findings(self) -> list[Finding]:
        """What was found."""
        return [Finding(*one) for one in self.found]
