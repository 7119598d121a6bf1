"""Cut from the published vocabulary of schema.org what a test needs: `python -m tests.support.vocabulary FILE`.

FILE is the release as published (schemaorg-current-https.jsonld). Kept are the things named below with all that their
classes descend from, and of each what it is, its parents, its domains, its ranges and what has taken its place.
"""

import json
import sys
from pathlib import Path
from typing import Any

KEPT = Path(__file__).resolve().parent.parent / "outside" / "data" / "schemaorg_30.0_cut.jsonld"
LICENCE = (
    "Cut from schema.org, release 30.0, file schemaorg-current-https.jsonld (https://schema.org/docs/developers.html). "
    "© schema.org, under CC BY-SA 3.0 (https://creativecommons.org/licenses/by-sa/3.0/); this cut too."
)
CLASSES = [
    "IndividualProduct",
    "Offer",
    "PropertyValue",
    "QuantitativeValue",
    "BreadcrumbList",
    "ListItem",
    "Organization",
    "Brand",
    "Person",
    "ImageObject",
    "WebPage",
    "Language",
    "ItemAvailability",
    "OfferItemCondition",
    "Text",
    "URL",
    "Number",
    "Integer",
    "Float",
    "Boolean",
    "Date",
    "DateTime",
    "Time",
]
PROPERTIES = [
    "name",
    "url",
    "description",
    "image",
    "sku",
    "category",
    "brand",
    "manufacturer",
    "model",
    "serialNumber",
    "productionDate",
    "releaseDate",
    "itemCondition",
    "additionalProperty",
    "offers",
    "value",
    "unitCode",
    "unitText",
    "availability",
    "availabilityEnds",
    "price",
    "priceCurrency",
    "seller",
    "itemListElement",
    "position",
    "item",
    "email",
    "telephone",
    "address",
    "birthDate",
    "inLanguage",
]
MEMBERS = ["InStock", "Reserved", "SoldOut", "UsedCondition", "NewCondition"]
SAID = (
    "@id",
    "@type",
    "rdfs:subClassOf",
    "schema:domainIncludes",
    "schema:rangeIncludes",
    "schema:supersededBy",
)


def cut(whole: dict[str, Any]) -> dict[str, Any]:
    """The part of a release that is kept."""
    rows = {row["@id"]: row for row in whole["@graph"]}
    waiting = [f"schema:{name}" for name in [*CLASSES, *PROPERTIES, *MEMBERS]]
    kept: dict[str, Any] = {}
    while waiting:
        name = waiting.pop()
        if name in kept or name not in rows:
            continue
        kept[name] = {key: rows[name][key] for key in SAID if key in rows[name]}
        parents = rows[name].get("rdfs:subClassOf", [])
        waiting += [parent["@id"] for parent in (parents if isinstance(parents, list) else [parents])]
    prefixes = {name: whole["@context"][name] for name in ("rdf", "rdfs", "schema", "cmns-cls")}
    return {"@context": prefixes, "rdfs:comment": LICENCE, "@graph": [kept[name] for name in sorted(kept)]}


if __name__ == "__main__":
    text = json.dumps(
        cut(json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))), indent=1, ensure_ascii=False
    )
    KEPT.write_text(text + "\n", encoding="utf-8")
