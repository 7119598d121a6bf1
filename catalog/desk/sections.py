"""The sections of a record, in the order of the desk."""

from dataclasses import dataclass

from django.http import Http404

from catalog.desk.forms.conversion import ConversionForm
from catalog.desk.forms.dating import DatingForm
from catalog.desk.forms.identity import IdentityForm
from catalog.desk.forms.materials import MaterialsForm
from catalog.desk.forms.measuring import MeasurementsForm
from catalog.desk.forms.parts import PartsForm
from catalog.desk.forms.price import PriceForm
from catalog.desk.forms.provenance import ProvenanceForm
from catalog.desk.forms.rows import IncludedForm, NumbersForm
from catalog.desk.forms.section import SectionForm
from catalog.desk.forms.unusual import UnusualForm
from catalog.desk.forms.words import ConditionForm, SetUpForm, StoryForm
from shop.staff.models import User


@dataclass(frozen=True)
class Section:
    """One section: its end of the address, its name, its form (None when it has pages of its own)."""

    slug: str
    name: str
    form: type[SectionForm] | None = None
    note: str = ""
    owner: bool = False


SECTIONS = [
    Section("identity", "Identity", IdentityForm),
    Section("numbers", "Numbers", NumbersForm, "Every number found on it, and where it stands."),
    Section(
        "dating",
        "Date of make",
        DatingForm,
        "Each piece of evidence leaves a span of years. The date is what all firm evidence leaves together.",
    ),
    Section(
        "measurements",
        "Measurements",
        MeasurementsForm,
        "Write each with its unit: 26 1/4 in, 667 mm, 6 lb 3 oz, 2810 g.",
    ),
    Section(
        "parts",
        "Originality",
        PartsForm,
        "A row left alone stays “Not examined”. What a row claims needs how it was seen, or how you know it.",
    ),
    Section(
        "materials",
        "Materials",
        MaterialsForm,
        "What each part is made of, as far as it is known. It never leaves the desk; the check of borders reads it.",
    ),
    Section(
        "conversion",
        "Configuration",
        ConversionForm,
        "The configuration it was made in, against the one it stands in.",
    ),
    Section(
        "unusual",
        "What is unusual",
        UnusualForm,
        "By the model’s own list. What you saw is compared with what is usual; a difference becomes public once you "
        "have said what you make of it.",
    ),
    Section("condition", "Condition", ConditionForm),
    Section("setup", "Set-up and sound", SetUpForm),
    Section("included", "What comes with it", IncludedForm),
    Section("story", "Story", StoryForm),
    Section(
        "provenance",
        "Provenance",
        ProvenanceForm,
        "Where it has been, in order: 1927, c. 1950, 1931 to 1964. Private notes never leave the desk, nor does how "
        "somebody agreed; a name does once that person has agreed.",
    ),
    Section("papers", "Papers"),
    Section("claims", "Claims"),
    Section("price", "Price", PriceForm),
    Section("pictures", "Pictures"),
    Section("recordings", "Sound and film"),
    Section("work", "Repairs and set-up"),
    Section("costs", "Costs and seller", owner=True),
    Section("speaker", "Speaker’s sheet"),
    Section("history", "History"),
]


def sections_for(user: User) -> list[Section]:
    """The sections that `user` may open."""
    return [section for section in SECTIONS if user.is_owner or not section.owner]


def find_form(slug: str) -> tuple[Section, type[SectionForm]]:
    """The section with a form of that name; Http404 for any other."""
    for section in SECTIONS:
        if section.slug == slug and section.form is not None:
            return section, section.form
    raise Http404
