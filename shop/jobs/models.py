"""Work that is done after the answer has gone out, by `manage.py worker`."""

from django.db import models


class Job(models.Model):
    """One piece of work. Claiming it raises `tries` and sets a lease; a lease that runs out frees it again."""

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting"
        RUNNING = "running", "Running"
        DONE = "done", "Done"
        FAILED = "failed", "Failed"

    task = models.CharField(max_length=80)
    arguments = models.JSONField(default=dict)
    key = models.CharField(
        max_length=120,
        null=True,
        blank=True,
        unique=True,
        help_text="Two jobs with one key are one job.",
    )
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    due = models.DateTimeField()
    lease_until = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    error = models.TextField(blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [
            models.Index(
                fields=["due"],
                name="job_next",
                condition=models.Q(state__in=["waiting", "running"]),
            )
        ]

    def __str__(self) -> str:
        return f"{self.task} ({self.state})"
