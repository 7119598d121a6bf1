"""A small cast, made on the spot: the owner, a helper, an instrument with a story, a buyer."""

from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

import factory
from django.contrib.auth.hashers import make_password
from factory.django import DjangoModelFactory

from catalog.models import Instrument, Kind, Maker, Model, Photograph, StockNumber
from catalog.search.shelving import forget
from inquiries.models import Contact, Inquiry
from shop.models import ShopProfile, User

NOON = datetime(2026, 6, 10, 12, 0, tzinfo=UTC)
PASSWORD = "a long walk by the river"


@cache
def hashed(password: str) -> str:
    """The password as it is kept."""
    return make_password(password)


class ShopFactory(DjangoModelFactory[ShopProfile]):
    """The shop's one profile."""

    class Meta:
        model = ShopProfile
        django_get_or_create = ("id",)

    id = 1
    name = "Harrow Lane Strings"
    email = "desk@harrowlane.example"
    owner_name = "Ada Quill"


class StaffFactory(DjangoModelFactory[User]):
    """A member of staff with the password PASSWORD."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"staff{n}")
    first_name = "Nell"
    last_name = "Tarrow"
    role = User.Role.HELPER

    @factory.post_generation
    def password(self, create: bool, extracted: Any, **kwargs: Any) -> None:
        """Set the known password, which is worked out once: it takes its time on purpose."""
        self.password = hashed(extracted or PASSWORD)
        self.save(update_fields=["password"])  # type: ignore[attr-defined]


class HelperFactory(StaffFactory):
    """A helper."""


class OwnerFactory(StaffFactory):
    """The owner."""

    first_name = "Ada"
    last_name = "Quill"
    role = User.Role.OWNER


class StockNumberFactory(DjangoModelFactory[StockNumber]):
    """The next number."""

    class Meta:
        model = StockNumber

    number = factory.Sequence(lambda n: 5001 + n)
    given_at = NOON - timedelta(days=40)


def in_letters(number: int) -> str:
    """A number in letters, A for nought: in figures it would be read as a year of make."""
    rest, last = divmod(number, 26)
    return (in_letters(rest - 1) if rest else "") + chr(ord("A") + last)


class MakerFactory(DjangoModelFactory[Maker]):
    """An invented maker."""

    class Meta:
        model = Maker

    name = factory.Sequence(lambda n: f"Corvane & Sons {in_letters(n)}")


class ModelFactory(DjangoModelFactory[Model]):
    """A model of an invented maker."""

    class Meta:
        model = Model

    maker = factory.SubFactory(MakerFactory)
    name = "Meadowlark No. 3"


class InstrumentFactory(DjangoModelFactory[Instrument]):
    """A draft with everything that publishing asks for, except parts and pictures."""

    class Meta:
        model = Instrument
        skip_postgeneration_save = True

    class Params:
        listed = factory.Trait(state=Instrument.State.LISTED, listed_at=NOON - timedelta(days=30))
        sold = factory.Trait(
            state=Instrument.State.SOLD,
            listed_at=NOON - timedelta(days=30),
            sold_at=NOON - timedelta(days=2),
        )

    stock = factory.SubFactory(StockNumberFactory)
    kind = factory.LazyFunction(lambda: Kind.objects.get(slug="banjo"))
    model = factory.SubFactory(ModelFactory)
    maker = factory.SelfAttribute("model.maker")
    configuration_made = factory.LazyAttribute(lambda o: o.kind.configurations.get(slug="tenor"))
    configuration_now = factory.LazyAttribute(lambda o: o.kind.configurations.get(slug="five-string"))
    made = "c. 1931"
    made_edtf = "1931~"
    made_earliest = 1931
    made_latest = 1931
    made_evidence = "Serial number within the maker's 1931 run."
    grade = Instrument.Grade.EXCELLENT
    condition = "Light wear to the rim and the heel."
    story = "Found in a farmhouse attic with its first strings still on it."
    asking_price = 12500
    created_at = NOON - timedelta(days=40)
    changed_at = NOON - timedelta(days=40)

    @factory.post_generation
    def past_the_deeds(self, create: bool, extracted: Any, **kwargs: Any) -> None:
        """No deed put it on the shelf, so the shelf is filled anew before it is next read."""
        forget()


class ContactFactory(DjangoModelFactory[Contact]):
    """Somebody who asks."""

    class Meta:
        model = Contact

    name = factory.Sequence(lambda n: f"Buyer {n}")
    email = factory.Sequence(lambda n: f"buyer{n}@post.example")
    created_at = NOON - timedelta(days=5)


class InquiryFactory(DjangoModelFactory[Inquiry]):
    """A question about a listed instrument."""

    class Meta:
        model = Inquiry

    contact = factory.SubFactory(ContactFactory)
    instrument = factory.SubFactory(InstrumentFactory, listed=True)
    opened_at = NOON - timedelta(days=1)
    last_at = factory.SelfAttribute("opened_at")


class PhotographFactory(DjangoModelFactory[Photograph]):
    """A photograph that is ready, without files behind it."""

    class Meta:
        model = Photograph

    instrument = factory.SubFactory(InstrumentFactory)
    original_name = factory.Sequence(lambda n: f"picture{n}.jpg")
    sha256 = factory.Sequence(lambda n: f"{n:064x}")
    suffix = "jpg"
    bytes = 1000
    state = Photograph.State.READY
    width = 1600
    height = 1200
    widths = factory.LazyFunction(lambda: [400, 800, 1600])
    received_at = NOON - timedelta(days=35)
