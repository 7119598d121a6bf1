"""Addresses of the desk's pages over the record."""

from django.urls import path, register_converter

from catalog.dating import views as dating
from catalog.desk.sections import SECTIONS
from catalog.desk.views import costs, kinds, pictures, publishing, record, stock


class SectionConverter:
    """The sections with a form, and no other word: other rooms have addresses below a record too."""

    regex = "|".join(section.slug for section in SECTIONS if section.form is not None)

    def to_python(self, value: str) -> str:
        """The slug itself."""
        return value

    def to_url(self, value: str) -> str:
        """The slug itself."""
        return value


register_converter(SectionConverter, "section")

urlpatterns = [
    path("stock/", stock.stock, name="stock"),
    path("stock/new/", stock.new, name="stock-new"),
    path("stock/<int:stock>/", record.record, name="record"),
    path("stock/<int:stock>/history/", record.history, name="record-history"),
    path("stock/<int:stock>/costs/", costs.costs, name="costs"),
    path("stock/<int:stock>/preview/", publishing.preview, name="preview"),
    path("stock/<int:stock>/publish/", publishing.publish, name="publish"),
    path("stock/<int:stock>/withdraw/", publishing.withdraw, name="withdraw"),
    path("stock/<int:stock>/pictures/", pictures.pictures, name="pictures"),
    path("stock/<int:stock>/pictures/send/", pictures.send, name="pictures-send"),
    path("stock/<int:stock>/pictures/order/", pictures.order, name="pictures-order"),
    path("stock/<int:stock>/pictures/<str:token>/plate/", pictures.plate, name="picture-plate"),
    path("stock/<int:stock>/pictures/<str:token>/describe/", pictures.describe, name="picture-describe"),
    path("stock/<int:stock>/pictures/<str:token>/lead/", pictures.lead, name="picture-lead"),
    path("stock/<int:stock>/pictures/<str:token>/move/", pictures.move, name="picture-move"),
    path("stock/<int:stock>/pictures/<str:token>/remove/", pictures.remove, name="picture-remove"),
    path("stock/<int:stock>/<section:section>/", record.record_section, name="record-section"),
    path("dates/understood/", dating.understood_date, name="date-understood"),
    path("kinds/", kinds.kinds, name="kinds"),
    path("kinds/<slug:slug>/", kinds.kind, name="kind"),
    path("kinds/<slug:slug>/<slug:what>/", kinds.sheet, name="kind-sheet"),
]
