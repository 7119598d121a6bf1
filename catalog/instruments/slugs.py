"""How a name stands in addresses, so that no two things stand at one."""

from collections.abc import Iterable, Mapping

from django.utils.text import slugify

LONGEST = 100  # characters; an address keeps 120, and a number may follow


def slug_of(name: str, otherwise: str) -> str:
    """A name as it stands in addresses; `otherwise` where nothing of it can.

    >>> slug_of("Aldous & Daughters", "maker")
    'aldous-daughters'
    """
    return slugify(name)[:LONGEST].strip("-_") or otherwise


def slugs_for(
    names: Iterable[tuple[int, str]], former: Mapping[int, Iterable[str]], otherwise: str
) -> dict[int, str]:
    """The slug of each thing by its key; `names` come in the order in which the things were added.

    Where two names give one slug, the thing that was added first has it and the next has “-2” behind it. What
    another thing was once called is taken for good, since its old address leads there.
    """
    old = {slug: key for key, slugs in former.items() for slug in slugs}
    given: dict[str, int] = {}
    for key, name in names:
        plain = slug = slug_of(name, otherwise)
        number = 1
        while slug in given or old.get(slug, key) != key:
            number += 1
            slug = f"{plain}-{number}"
        given[slug] = key
    return {key: slug for slug, key in given.items()}
