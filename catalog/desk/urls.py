"""Addresses of the desk's pages over the record."""

from django.urls import path, register_converter

from catalog.dating import views as dating
from catalog.desk.sections import SECTIONS
from catalog.desk.views import (
    claims,
    costs,
    indexes,
    kinds,
    makers,
    materials,
    papers,
    pictures,
    publishing,
    record,
    recordings,
    stock,
    tables,
    unusual,
    work,
)
from catalog.report.views import record_report
from catalog.speaking.views import speaker
from catalog.striking import views as striking
from catalog.visits.views import visits


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
    path("stock/<int:stock>/repairs/", work.work, name="work"),
    path("stock/<int:stock>/repairs/give/", work.work_give, name="work-give"),
    path("stock/<int:stock>/repairs/<int:work>/back/", work.work_back, name="work-back"),
    path("stock/<int:stock>/speaker/", speaker, name="speaker"),
    path("stock/<int:stock>/report.pdf", record_report, name="record-report"),
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
    path("stock/<int:stock>/recordings/", recordings.recordings, name="recordings"),
    path("stock/<int:stock>/recordings/send/", recordings.send, name="recordings-send"),
    path("stock/<int:stock>/recordings/<str:token>/", recordings.change, name="recording-change"),
    path("stock/<int:stock>/recordings/<str:token>/state/", recordings.state, name="recording-state"),
    path("stock/<int:stock>/recordings/<str:token>/move/", recordings.move, name="recording-move"),
    path("stock/<int:stock>/recordings/<str:token>/off/", recordings.take_off, name="recording-off"),
    path("stock/<int:stock>/recordings/<str:token>/back/", recordings.put_back, name="recording-back"),
    path("stock/<int:stock>/recordings/<str:token>/file/", recordings.received, name="recording-received"),
    path("stock/<int:stock>/papers/", papers.papers, name="papers"),
    path("stock/<int:stock>/papers/<str:token>/", papers.paper_change, name="paper-change"),
    path("stock/<int:stock>/papers/<str:token>/file/", papers.paper_file, name="paper-file"),
    path("stock/<int:stock>/unusual/compared/", unusual.compared, name="unusual-compared"),
    path("stock/<int:stock>/claims/", claims.claims, name="claims"),
    path("stock/<int:stock>/claims/answer/", claims.answer, name="claim-answer"),
    path("stock/<int:stock>/claims/read/", claims.read, name="claims-read"),
    path(
        "stock/<int:stock>/<section:section>/struck/<int:evidence>/confirm/",
        striking.confirm,
        name="struck-confirm",
    ),
    path(
        "stock/<int:stock>/<section:section>/struck/<int:evidence>/back/",
        striking.put_back,
        name="struck-back",
    ),
    path("stock/<int:stock>/<section:section>/", record.record_section, name="record-section"),
    path("claims/words/", claims.words, name="claim-words"),
    path("claims/words/<slug:claim>/", claims.words_of, name="claim-words-of"),
    path("dates/understood/", dating.understood_date, name="date-understood"),
    path("makers/<int:maker>/numbers/", tables.numbers, name="number-tables"),
    path("makers/<int:maker>/numbers/load/", tables.load, name="number-tables-load"),
    path("makers/<int:maker>/numbers/<int:table>/", tables.table, name="number-table"),
    path("makers/<int:maker>/numbers/<int:table>/retire/", tables.retire, name="number-table-retire"),
    path("makers/<int:maker>/features/", tables.features, name="dated-features"),
    path("makers/", makers.makers, name="makers"),
    path("makers/<int:maker>/", makers.maker, name="maker"),
    path("makers/<int:maker>/rename/", makers.maker_rename, name="maker-rename"),
    path("models/<int:model>/", makers.model_sheet, name="model-sheet"),
    path("models/<int:model>/rename/", makers.model_rename, name="model-rename"),
    path("materials/", materials.materials, name="materials"),
    path("materials/add/", materials.add, name="material-add"),
    path("materials/<int:material>/retire/", materials.retire, name="material-retire"),
    path("visits/", visits, name="visits"),
    path("visits/<str:month>/", visits, name="visits-of"),
    path("indexes/", indexes.indexes, name="indexes"),
    path("indexes/load/", indexes.load, name="index-load"),
    path("kinds/", kinds.kinds, name="kinds"),
    path("kinds/<slug:slug>/", kinds.kind, name="kind"),
    path("kinds/<slug:slug>/<slug:what>/", kinds.sheet, name="kind-sheet"),
]
