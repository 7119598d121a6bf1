"""What an instrument has cost."""

from catalog.instruments.models import Instrument
from shop.money import Money, total


def landed_cost(instrument: Instrument) -> Money:
    """The sum of all cost rows of the instrument, in its currency."""
    rows = instrument.costs.all()
    return total((Money(row.amount, row.currency) for row in rows), instrument.currency)
