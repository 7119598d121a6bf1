"""What the books were last found to be like."""

from inquiries.audit.models import Audit
from inquiries.audit.rules import Finding


def last_findings() -> list[Finding]:
    """What was not in order when the books were last gone through."""
    last = Audit.objects.first()
    return last.findings if last else []
