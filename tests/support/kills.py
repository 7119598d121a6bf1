"""A shop to be killed, in a process of its own: `python -m tests.support.kills receive|told`."""

import json
import sys
from io import BytesIO
from pathlib import Path

import django

django.setup()

from django.conf import settings  # noqa: E402 - the settings come first
from django.core.files.uploadedfile import SimpleUploadedFile  # noqa: E402
from django.utils import timezone  # noqa: E402
from PIL import Image  # noqa: E402

from catalog.models import Instrument, Photograph  # noqa: E402
from catalog.pictures.actions import receive_photograph  # noqa: E402
from catalog.pictures.prints import SUFFIXES, print_path  # noqa: E402
from shop.models import Job  # noqa: E402
from tests.factories import InstrumentFactory  # noqa: E402


def receive(number: str) -> None:
    """Take in so many photographs, large enough that each keeps the worker busy for a moment."""
    instrument = InstrumentFactory()
    for place in range(int(number)):
        out = BytesIO()
        Image.effect_noise((1500, 1100 + place), 60).convert("RGB").save(out, "JPEG")
        upload = SimpleUploadedFile(f"plate{place}.jpg", out.getvalue(), "image/jpeg")
        receive_photograph(instrument, upload, by=None, at=timezone.now())


def told() -> None:
    """Print how far the work has come."""
    photographs = Photograph.objects.order_by("pk")
    print(
        json.dumps(
            {
                "ready": photographs.filter(state=Photograph.State.READY).count(),
                "finished": sum(Instrument.objects.values_list("revision", flat=True)),
                "jobs": sorted(Job.objects.values_list("state", flat=True)),
                "tries": sum(Job.objects.values_list("tries", flat=True)),
                "prints missing": [
                    str(path)
                    for photograph in photographs
                    for width in photograph.widths
                    for suffix in SUFFIXES
                    if not (path := print_path(photograph.token, width, suffix)).exists()
                ],
                "half-made": [path.name for path in Path(settings.PRINTS_DIR).rglob("making-*")],
            }
        )
    )


if __name__ == "__main__":
    {"receive": receive, "told": told}[sys.argv[1]](*sys.argv[2:])
