"""Files with a hash in their names are kept by a browser for good; prints as well."""

from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.templatetags.static import static
from django.test import Client

from catalog.pictures.prints import print_path
from tests.factories import InstrumentFactory, PhotographFactory, ShopFactory

FOR_GOOD = "immutable"


@pytest.mark.django_db
def test_static_files_are_kept_for_good(settings: Any, tmp_path: Path) -> None:
    settings.STATIC_ROOT = tmp_path
    settings.WHITENOISE_USE_FINDERS = False
    settings.STORAGES = settings.STORAGES | {"staticfiles": {"BACKEND": "shop.sheets.ShopFiles"}}
    call_command("collectstatic", verbosity=0, interactive=False)
    for name in ("css/street.css", "img/favicon.svg"):
        address = static(name)
        assert address != f"/static/{name}", "its name has a hash in it"
        answer = Client().get(address, headers={"Accept-Encoding": "br"})
        b"".join(answer.streaming_content)
        assert FOR_GOOD in answer["Cache-Control"], name
        assert not answer.cookies


@pytest.mark.django_db
def test_prints_are_kept_for_good(client: Client) -> None:
    ShopFactory()
    photograph = PhotographFactory(instrument=InstrumentFactory(listed=True))
    place = print_path(photograph.token, 400, "jpg")
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(b"a print")
    answer = client.get(photograph.address(400, "jpg"))
    assert b"".join(answer.streaming_content) == b"a print"
    assert FOR_GOOD in answer["Cache-Control"]
    assert not answer.cookies
