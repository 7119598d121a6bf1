"""Everything that points at a person, read off the models, so that a new one cannot be forgotten."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.apps import apps
from django.db import models
from django.db.models.fields.reverse_related import ManyToOneRel

from inquiries.people.models import Contact

# What is said of two people together is no row of one of them; each is seen to by hand where people are merged.
OF_TWO = {
    "inquiries.Contact.merged_into",
    "inquiries.Merge.kept",
    "inquiries.Merge.gone",
    "inquiries.NotTheSame.first",
    "inquiries.NotTheSame.second",
}


@dataclass(frozen=True)
class Pointer:
    """A field that names a person."""

    model: type[models.Model]
    field: str

    @property
    def label(self) -> str:
        """Its name among all fields: “inquiries.Inquiry.contact”."""
        return f"{self.model._meta.label}.{self.field}"

    def rows(self, people: Iterable[int]) -> "models.QuerySet[models.Model]":
        """The rows that name one of these people."""
        return self.model._base_manager.filter(**{f"{self.field}__in": list(people)}).order_by("pk")

    def point(self, rows: Iterable[int], person: int) -> int:
        """Let these rows name another person; how many did."""
        return self.model._base_manager.filter(pk__in=list(rows)).update(**{f"{self.field}_id": person})


def pointers() -> list[Pointer]:
    """Every field of every model that names one person and goes where the person goes."""
    found = [
        Pointer(relation.related_model, relation.field.name)
        for relation in Contact._meta.get_fields(include_hidden=True)
        if isinstance(relation, ManyToOneRel) and not relation.many_to_many
    ]
    return sorted((one for one in found if one.label not in OF_TWO), key=lambda one: one.label)


def pointer(label: str) -> Pointer:
    """The field of that name."""
    model, _, field = label.rpartition(".")
    return Pointer(apps.get_model(model), field)
