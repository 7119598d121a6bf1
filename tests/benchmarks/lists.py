"""List pages with 1,000 instruments against 10: the number of queries is fixed, the time should nearly be.

.venv/bin/python -m tests.benchmarks.lists
"""

import statistics
import time

from tests.support import environment

environment.prepare()

from django.core.management import call_command  # noqa: E402 - the environment comes first
from django.test import Client  # noqa: E402

from catalog.models import Instrument  # noqa: E402
from tests.factories import InstrumentFactory, OwnerFactory, ShopFactory  # noqa: E402

ROUNDS = 15
PAGES = ("/", "/instruments/", "/sold/", "/desk/", "/desk/stock/", "/desk/inquiries/", "/desk/sales/")
FEW, MANY = 10, 1000


def median_ms(client: Client, path: str) -> float:
    """The median time of one answer, in milliseconds."""
    client.get(path)
    times = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        assert client.get(path).status_code == 200
        times.append(1000 * (time.perf_counter() - begun))
    return statistics.median(times)


def fill_up_to(number: int) -> None:
    """Add instruments, every third of them sold."""
    for place in range(Instrument.objects.count(), number):
        InstrumentFactory(sold=True) if place % 3 == 0 else InstrumentFactory(listed=True)


def main() -> None:
    """Print each page's times and their ratio."""
    call_command("migrate", verbosity=0)
    ShopFactory()
    client = Client()
    client.force_login(OwnerFactory(), backend="django.contrib.auth.backends.ModelBackend")
    fill_up_to(FEW)
    few = {path: median_ms(client, path) for path in PAGES}
    fill_up_to(MANY)
    print(f"{'page':<20} {FEW:>8} {MANY:>8}   ratio")
    for path in PAGES:
        many = median_ms(client, path)
        print(f"{path:<20} {few[path]:6.1f}ms {many:6.1f}ms   {many / few[path]:5.2f}")


if __name__ == "__main__":
    main()
