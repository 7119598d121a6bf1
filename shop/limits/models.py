"""How often an address on the public side has done a thing."""

from django.db import models


class Count(models.Model):
    """Times that `key` did its thing inside the window that began at `window`."""

    key = models.CharField(max_length=120)
    window = models.DateTimeField()
    times = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["key", "window"], name="limit_one_count_a_window")]

    def __str__(self) -> str:
        return f"{self.key}: {self.times}"
