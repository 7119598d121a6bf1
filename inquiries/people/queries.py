"""Which people, by what is known of them."""

from collections import defaultdict
from collections.abc import Iterable

from django.db.models import Count, Max, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce, Lower

from inquiries.people.models import Contact, NotTheSame, OtherAddress, PostalAddress
from inquiries.people.rules import Alike, Person, Place, bare_address, marks, pairs, postal_code
from inquiries.people.telephones import e164, figures
from inquiries.sales.models import Sale
from inquiries.threads.models import Inquiry

FIGURES_OF_A_NUMBER = 4  # fewer find everybody


def living() -> QuerySet[Contact]:
    """People who stand for themselves: neither merged into another nor erased."""
    return Contact.objects.filter(merged_into__isnull=True, erased_at__isnull=True)


def known_by(email: str) -> Contact | None:
    """The person who writes from this address, be it the first or another one; of a merged one, who it went into."""
    if not email:
        return None
    found = Contact.objects.filter(email__iexact=email).first()
    if found is None:
        other = OtherAddress.objects.filter(email__iexact=email).select_related("contact").first()
        found = other.contact if other else None
    return stands_for(found) if found else None


def called_from(name: str, telephone: str, *, home: str) -> Contact | None:
    """The person of this name who has this number, however it was typed (`home` is the shop's country)."""
    number = e164(telephone, home)
    same = Q(telephone=telephone) | (Q(telephone_e164=number) if number else Q())
    found = Contact.objects.filter(same, name__iexact=name, erased_at__isnull=True).order_by("pk").first()
    return stands_for(found) if found else None


def stands_for(contact: Contact) -> Contact:
    """The contact itself, or the one it was merged into in the end."""
    while contact.merged_into is not None:
        contact = contact.merged_into
    return contact


def looked_for(typed: str, *, home: str) -> QuerySet[Contact]:
    """People by name, address or number: each word is in one of the names or addresses, or it is the number.

    Everybody, when nothing was typed.
    """
    found = living()
    if typed:
        found = found.filter(_has_number(typed, home=home) | _says_all(typed.split()))
    said = Contact.objects.filter(pk__in=found.values("pk").order_by())
    return with_dealings(said).order_by(Lower("name"), "pk")


def with_dealings(contacts: QuerySet[Contact]) -> QuerySet[Contact]:
    """Give each `threads`, `last_word` and `bought`: how many threads, when the last word was, how many pieces."""
    mine = Inquiry.objects.filter(contact=OuterRef("pk")).order_by().values("contact")
    bought = Sale.objects.filter(contact=OuterRef("pk"), outcome=Sale.Outcome.CLOSED).order_by()
    return contacts.annotate(
        threads=Coalesce(Subquery(mine.annotate(many=Count("pk")).values("many")), 0),
        last_word=Subquery(mine.annotate(last=Max("last_at")).values("last")),
        bought=Coalesce(Subquery(bought.values("contact").annotate(many=Count("pk")).values("many")), 0),
    )


def as_people(contacts: QuerySet[Contact]) -> list[Person]:
    """What tells these people from others, in three queries."""
    keys = contacts.order_by().values("pk")
    emails: dict[int, list[str]] = defaultdict(list)
    for key, email in OtherAddress.objects.filter(contact__in=keys).values_list("contact_id", "email"):
        emails[key].append(email)
    places: dict[int, list[Place]] = defaultdict(list)
    for key, *place in PostalAddress.objects.filter(contact__in=keys).values_list(
        "contact_id", "lines", "country"
    ):
        places[key].append(Place(*place))
    rows = contacts.order_by("pk").values_list("pk", "name", "email", "telephone_e164", "address", "country")
    return [
        Person(
            key,
            name,
            tuple(filter(None, [email, *emails[key]])),
            (number,) if number else (),
            (*([Place(address, country)] if address else []), *places[key]),
        )
        for key, name, email, number, address, country in rows
    ]


def perhaps_one() -> list[Alike]:
    """Every two people who may be one and were not told apart, the most reasons first."""
    apart = set(NotTheSame.objects.values_list("first_id", "second_id"))
    found = [alike for alike in pairs(as_people(living())) if (alike.first, alike.second) not in apart]
    return sorted(found, key=lambda alike: (-len(alike.reasons), alike.first, alike.second))


def perhaps_also(contact: Contact) -> list[Alike]:
    """The same for one person, asking only for people who share something with them."""
    mine = as_people(Contact.objects.filter(pk=contact.pk))
    if not mine or not marks(mine[0]):
        return []
    near = as_people(living().filter(_shares_with(mine[0])).exclude(pk=contact.pk))
    told = NotTheSame.objects.filter(Q(first=contact.pk) | Q(second=contact.pk))
    apart = set(told.values_list("first_id", "second_id"))
    found = [alike for alike in pairs([*mine, *near]) if contact.pk in {alike.first, alike.second}]
    return [alike for alike in found if (alike.first, alike.second) not in apart]


def _shares_with(person: Person) -> Q:
    """Everybody who may share a mark; the rule is asked afterwards."""
    near = Q(telephone_e164__in=[number for number in person.numbers if number])
    for email in person.emails:
        local, _, domain = bare_address(email).rpartition("@")
        for field in ("email", "other_addresses__email"):
            near |= Q(**{f"{field}__istartswith": local, f"{field}__iendswith": f"@{domain}"})
    for place in person.places:
        words = [postal_code(place.lines), *place.lines.replace(",", " ").split()]
        telling = max((word for word in words if word.isascii()), key=len, default="")
        code = postal_code(place.lines)
        for word in filter(None, {telling, code, f"{code[:3]} {code[3:]}" if code else ""}):
            near |= Q(address__icontains=word) | Q(postal_addresses__lines__icontains=word)
    return Q(pk__in=Contact.objects.filter(near).order_by().values("pk"))


def _has_number(typed: str, *, home: str) -> Q:
    number, part = e164(typed, home), figures(typed)
    exactly = Q(telephone_e164=number) if number else Q(pk__in=[])
    if len(part) < FIGURES_OF_A_NUMBER:
        return exactly
    return exactly | Q(telephone_e164__contains=part) | Q(telephone__contains=typed.strip())


def _says_all(words: Iterable[str]) -> Q:
    every = Q()
    for word in words:
        every &= (
            Q(name__icontains=word)
            | Q(email__icontains=word)
            | Q(other_addresses__email__icontains=word)
            | Q(merged_from__name__icontains=word)
        )
    return every
