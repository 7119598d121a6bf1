"""Gathers the rooms' models, so that Django finds them."""

from catalog.claims.models import ClaimAnswer, ClaimWord
from catalog.dating.models import DatingEvidence, Feature, NumberRange, NumberTable
from catalog.features.models import SeenFeature, Unusual, UsualFeature
from catalog.instruments.models import (
    Configuration,
    FormerName,
    FoundNumber,
    Included,
    Instrument,
    Kind,
    Maker,
    Measure,
    Measurement,
    Model,
    Part,
    StockNumber,
    View,
)
from catalog.materials.models import Material, PartMaterial
from catalog.originality.models import Finding
from catalog.papers.models import Paper
from catalog.pictures.models import Photograph
from catalog.pricing.models import (
    Acquisition,
    Agreement,
    AgreementTier,
    Cost,
    IndexYear,
    ListPrice,
    PriceIndex,
    Work,
)
from catalog.provenance.models import Provenance
from catalog.recordings.models import Recording
from catalog.search.models import Edition, KnownWord, Said, Shelved
from catalog.speaking.models import SpokenLine
from catalog.visits.models import DayOfViews

__all__ = [
    "Acquisition",
    "Agreement",
    "AgreementTier",
    "ClaimAnswer",
    "ClaimWord",
    "Configuration",
    "Cost",
    "DatingEvidence",
    "DayOfViews",
    "Edition",
    "Feature",
    "Finding",
    "FormerName",
    "FoundNumber",
    "Included",
    "IndexYear",
    "Instrument",
    "Kind",
    "KnownWord",
    "ListPrice",
    "Maker",
    "Material",
    "Measure",
    "Measurement",
    "Model",
    "NumberRange",
    "NumberTable",
    "Paper",
    "Part",
    "PartMaterial",
    "Photograph",
    "PriceIndex",
    "Provenance",
    "Recording",
    "Said",
    "SeenFeature",
    "Shelved",
    "SpokenLine",
    "StockNumber",
    "Unusual",
    "UsualFeature",
    "View",
    "Work",
]
