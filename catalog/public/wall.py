"""What may cross the wall to the public: every field named here, and nothing else.

The wall's test plants a canary in every text and every amount that is not named, and looks for it
on every public address. A field that is added to a model is private until it is named here.
"""

PUBLIC: dict[str, frozenset[str]] = {
    "catalog.Kind": frozenset({"slug", "name", "plural"}),
    "catalog.Configuration": frozenset({"slug", "name"}),
    "catalog.Part": frozenset({"slug", "name"}),
    "catalog.Measure": frozenset({"slug", "name", "choices"}),
    "catalog.View": frozenset({"slug", "name"}),
    "catalog.Maker": frozenset({"name", "town", "years", "note"}),
    "catalog.Model": frozenset({"name"}),
    "catalog.Instrument": frozenset(
        {
            "made",
            "made_edtf",
            "made_evidence",
            "condition",
            "setup",
            "hear_at",
            "story",
            "conversion_when",
            "conversion_note",
            "currency",
            "asking_price",
        }
    ),
    "catalog.FoundNumber": frozenset({"value", "where"}),
    "catalog.Measurement": frozenset({"unit", "word"}),
    "catalog.Included": frozenset({"what"}),
    "catalog.Finding": frozenset({"when", "when_edtf", "evidence", "note", "original_where"}),
    "catalog.Provenance": frozenset({"when", "when_edtf", "public"}),
    "catalog.DatingEvidence": frozenset({"when", "when_edtf", "says", "source"}),
    "catalog.NumberTable": frozenset({"source"}),
    "catalog.NumberRange": frozenset({"when", "when_edtf", "prefix", "page"}),
    "catalog.Feature": frozenset({"when", "when_edtf", "name", "source", "page"}),
    "catalog.UsualFeature": frozenset({"when", "when_edtf", "what", "value", "source", "page"}),
    "catalog.SeenFeature": frozenset({"what", "value"}),
    "catalog.Unusual": frozenset({"what", "seen", "evidence"}),
    "catalog.Paper": frozenset({"when", "when_edtf", "title"}),
    "catalog.FormerName": frozenset({"slug"}),
    "catalog.Recording": frozenset({"token", "title", "suffix", "seconds", "captions", "chapters"}),
    "catalog.PriceIndex": frozenset({"name", "currency", "source"}),
    "catalog.IndexYear": frozenset({"value"}),
    "catalog.ListPrice": frozenset({"amount", "currency", "what", "source", "page"}),
    "catalog.Photograph": frozenset({"token", "caption", "suffix"}),
    "shop.ShopProfile": frozenset(
        {
            "name",
            "tagline",
            "owner_name",
            "address",
            "telephone",
            "email",
            "hours",
            "about",
            "terms",
            "guarantee",
            "currency",
        }
    ),
}
