"""Gathers the rooms' models, so that Django finds them."""

from catalog.instruments.models import (
    Configuration,
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
from catalog.originality.models import Finding
from catalog.pictures.models import Photograph
from catalog.pricing.models import Acquisition, Cost
from catalog.provenance.models import Provenance

__all__ = [
    "Acquisition",
    "Configuration",
    "Cost",
    "Finding",
    "FoundNumber",
    "Included",
    "Instrument",
    "Kind",
    "Maker",
    "Measure",
    "Measurement",
    "Model",
    "Part",
    "Photograph",
    "Provenance",
    "StockNumber",
    "View",
]
