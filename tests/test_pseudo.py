"""The language in brackets tells what was translated from what was not."""

from django.template import engines
from django.utils import translation
from django.utils.translation import gettext, gettext_lazy, ngettext, pgettext

from tests.support.pseudo import in_brackets, one_message, outermost, unspoken


def test_every_message_stands_in_brackets_of_its_own() -> None:
    late = gettext_lazy("Neck")
    with in_brackets():
        assert translation.get_language() == "de"
        assert gettext("The %(part)s is missing.") % {"part": late} == "⟦The ⟦Neck⟧ is missing.⟧"
        assert pgettext("of a part", "Original") == "⟦Original⟧"
        assert [ngettext("a part", "parts", many) for many in (1, 2)] == ["⟦a part⟧", "⟦parts⟧"]
    assert str(late) == gettext("Neck") == "Neck"


def test_templates_speak_in_brackets_too() -> None:
    template = engines["django"].from_string(
        "{% load i18n %}{% translate 'Neck' %}{% blocktranslate count many=2 %}{{ many }} part"
        "{% plural %}{{ many }} parts{% endblocktranslate %}"
    )
    with in_brackets():
        assert template.render({}) == "⟦Neck⟧⟦2 parts⟧"


def test_what_was_glued_is_seen() -> None:
    assert one_message("⟦The ⟦Neck⟧ is missing.⟧")
    assert not one_message("⟦The⟧ ⟦neck⟧")
    assert not one_message("The ⟦Neck⟧")
    assert outermost("⟦The⟧ ⟦neck⟧ is ⟦gone⟧.") == ["⟦The⟧", "⟦neck⟧", " is ", "⟦gone⟧", "."]
    assert unspoken("⟦The⟧ ⟦neck⟧ is ⟦gone⟧.") == ["is", "."]
