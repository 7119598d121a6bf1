"""The written rules of the claims, and what a guarantee leaves out. The rules are the shop's own: no source."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.claims.record import (
    KnownEntry,
    KnownPaper,
    KnownPart,
    KnownStruck,
    KnownUnusual,
    Record,
    Said,
    Verdict,
)
from catalog.claims.rules import BY_KEY, CLAIMS, guarantee_exceptions, judge
from catalog.dating.rules import Evidence
from catalog.originality.models import Finding
from catalog.originality.rules import WORSENING, PartFound

YES, NO, OPEN = Verdict.SUPPORTED, Verdict.CONTRADICTED, Verdict.NOT_ESTABLISHED

SHEET = [
    ("rim", "Rim", "body", "Pot"),
    ("resonator", "Resonator", "", "Pot"),
    ("neck", "Neck", "neck", "Neck"),
    ("frets", "Frets", "", "Neck"),
    ("tuners", "Tuners", "", "Peghead"),
    ("tailpiece", "Tailpiece", "", "Hardware"),
    ("finish", "Finish", "finish", "Finish and marks"),
    ("case", "Case", "case", "Case"),
]


def parts(**states: str) -> tuple[KnownPart, ...]:
    """The whole sheet, original but for `states`."""
    return tuple(
        KnownPart(slug, PartFound(name, states.get(slug, "original"), role), group)
        for slug, name, role, group in SHEET
    )


def record(*, of: dict[str, str] | None = None, **values: Any) -> Record:
    return Record(parts=parts(**(of or {})), **values)


ONE = Said(parts=("tuners",))
FIRM_1927 = Evidence(1, "Rim number 9173", 1927, 1927, firm=True)
FIRM_1930 = Evidence(2, "Patent date on the flange", 1930, None, firm=True)
WIDE = Evidence(3, "Two-way lugs", 1925, 1930, firm=True)
HEARSAY = Evidence(4, "As the family tells it", 1927, 1927, firm=False)
NEW = KnownEntry(1, "1927: Sold new", "sold-new")
OWNED = KnownEntry(2, "1927 to 1980: Owned", "owned", paper="ownership")
LETTER = KnownEntry(2, "1927 to 1980: Owned", "owned", paper="letter")
AGAIN = KnownEntry(3, "1980 to 2020: Owned", "owned")
UNSEEN = KnownEntry(4, "1950 to 1970: Out of sight", "out-of-sight")
BILL = KnownPaper("a", "Bill of sale, 1927", "bill", "original", comes_along=True)
COPY = KnownPaper("b", "Copy of the bill", "bill", "copy", comes_along=True)
AWAY = KnownPaper("c", "Ledger page", "ledger", "seen", comes_along=False)


@pytest.mark.parametrize(
    ("claim", "known", "said", "verdict", "why"),
    [
        ("all-original", record(), Said(), YES, "All 8 parts it rests on were examined and bear it out."),
        ("all-original", record(of={"rim": "repaired"}), Said(), YES, "All 8 parts it rests on"),
        ("all-original", record(of={"case": "never-fitted"}), Said(), YES, "All 8 parts it rests on"),
        ("all-original", record(of={"frets": "later"}), Said(), NO, "On the record: frets (a later replacement)."),
        ("all-original", record(of={"frets": "not-examined"}), Said(), OPEN, "Not settled: frets (not examined)."),
        ("all-original", record(of={"frets": "unknown"}), Said(), OPEN, "Not settled: frets (not known)."),
        ("all-original", Record(), Said(), OPEN, "The sheet of this kind has nothing that says so"),
        ("original-but-for", record(of={"frets": "later"}), Said(excepted=("frets",)), YES, "All 7 parts"),
        ("original-but-for", record(of={"frets": "later"}), Said(excepted=("tuners",)), NO, "frets"),
        ("untouched", record(), Said(), YES, "All 8 parts"),
        ("untouched", record(of={"rim": "repaired"}), Said(), NO, "rim (repaired)"),
        ("original-finish", record(), Said(), YES, "All 3 parts"),
        ("original-finish", record(of={"tuners": "refinished"}), Said(), YES, "All 3 parts"),
        ("original-finish", record(of={"neck": "refinished"}), Said(), NO, "neck (refinished or re-plated)"),
        ("never-refinished", record(of={"finish": "refinished"}), Said(), NO, "finish (refinished"),
        ("refinished", record(of={"finish": "refinished"}), Said(), YES, "finish (refinished"),
        ("refinished", record(of={"resonator": "refinished"}), Said(parts=("resonator",)), YES, "resonator"),
        ("refinished", record(), Said(), NO, "finish"),
        ("refinished", record(of={"finish": "not-examined"}), Said(), OPEN, "finish (not examined)"),
        ("original-neck", record(), Said(), YES, "neck (original)"),
        ("original-neck", record(of={"neck": "reproduction"}), Said(), NO, "neck (a reproduction)"),
        ("original-neck", record(of={"neck": "refinished"}), Said(), OPEN, "neck (refinished"),
        ("original-case", record(of={"case": "missing"}), Said(), NO, "case (missing)"),
        ("original-case", record(of={"case": "never-fitted"}), Said(), NO, "case (never fitted)"),
        ("original-case", Record(), Said(), OPEN, "nothing that says so"),
        ("original-part", record(), ONE, YES, "tuners (original)"),
        ("original-part", record(of={"tuners": "period"}), ONE, NO, "tuners (a period-correct replacement)"),
        ("original-part", record(of={"tuners": "not-examined"}), ONE, OPEN, "tuners (not examined)"),
        ("replaced-part", record(of={"tuners": "period"}), ONE, YES, "tuners"),
        ("replaced-part", record(), ONE, NO, "tuners (original)"),
        ("originals-kept", record(), ONE, YES, "On it, or kept with it: tuners."),
        ("originals-kept", record(of={"tuners": "later"}), ONE, NO, "The record has no original kept: tuners."),
        ("originals-kept", record(of={"tuners": "later"}, included=("Original tuners in a bag",)), ONE, YES,
         "Comes with it: Original tuners in a bag."),
        ("original-hardware", record(of={"frets": "later"}), Said(), YES, "All 2 parts"),
        ("original-hardware", record(of={"tuners": "later"}), Said(), NO, "tuners"),
        ("original-hardware", record(of={"tuners": "later"}), Said(excepted=("tuners",)), YES, "tailpiece"),
        ("original-frets", record(), Said(), YES, "frets (original)"),
        ("refretted", record(of={"frets": "later"}), Said(), YES, "frets"),
        ("refretted", record(), Said(), NO, "frets (original)"),
        ("no-cracks", record(of={"tuners": "later"}), Said(), YES, "All 2 parts"),
        ("no-cracks", record(of={"rim": "repaired"}), Said(), NO, "rim (repaired)"),
        ("no-cracks", record(of={"neck": "reproduction"}), Said(), YES, "rim (original) and neck (a reproduction)"),
        ("no-cracks", record(of={"rim": "refinished"}), Said(), OPEN, "rim (refinished or re-plated)"),
        ("sound-wood", record(of={"tailpiece": "repaired"}), Said(), YES, "All 2 parts"),
        ("no-repairs", record(of={"tuners": "later"}), Said(), YES, "parts"),
        ("no-repairs", record(of={"tailpiece": "repaired"}), Said(), NO, "tailpiece (repaired)"),
        ("no-repairs", record(of={"rim": "not-examined"}), Said(), OPEN, "rim (not examined)"),
        ("converted", record(configuration_made="Tenor", configuration_now="Five-string"), Said(), YES,
         "Made as tenor; stands as five-string."),
        ("as-made", record(configuration_made="Tenor", configuration_now="Five-string"), Said(), NO, "Made as"),
        ("as-made", record(configuration_made="Tenor", configuration_now="Tenor"), Said(), YES, "it still is"),
        ("as-made", record(configuration_now="Tenor"), Said(), OPEN, "does not name both"),
        ("date", record(dating=(FIRM_1927,)), Said(earliest=1927, latest=1927), YES, "leaves 1927"),
        ("date", record(dating=(WIDE,)), Said(earliest=1927, latest=1927), OPEN, "leaves 1925 to 1930"),
        ("date", record(dating=(WIDE,)), Said(earliest=1920, latest=1930), YES, "leaves 1925 to 1930"),
        ("date", record(dating=(WIDE,)), Said(earliest=1931, latest=1931), NO, "leaves 1925 to 1930"),
        ("date", record(dating=(HEARSAY,)), Said(earliest=1927, latest=1927), OPEN, "leaves 1927"),
        ("date", record(dating=(FIRM_1927, FIRM_1930)), Said(earliest=1927, latest=1927), OPEN, "contradicts"),
        ("date", record(), Said(earliest=1927, latest=1927), OPEN, "No dating evidence"),
        ("date", record(made="1931", made_earliest=1931, made_latest=1931), Said(earliest=1927, latest=1927), NO,
         "The date of make on the record is 1931."),
        ("date", record(made="c. 1931", made_earliest=1931, made_latest=1931, made_near=True),
         Said(earliest=1927, latest=1927), OPEN, "No dating evidence"),
        ("date", record(made="1927", made_earliest=1927, made_latest=1927, dating=(FIRM_1927,)), Said(), YES, "1927"),
        ("one-owner", record(provenance=(NEW, OWNED)), Said(), YES, "backed by a paper"),
        ("one-owner", record(provenance=(NEW, LETTER)), Said(), OPEN, "No statement of ownership"),
        ("one-owner", record(provenance=(NEW, OWNED, AGAIN)), Said(), NO, "The provenance has more"),
        ("one-owner", record(provenance=(NEW, OWNED, UNSEEN)), Said(), NO, "1950 to 1970: Out of sight"),
        ("one-owner", record(), Said(), OPEN, "to whom it was sold new"),
        ("original-owner", record(provenance=(NEW, LETTER)), Said(), YES, "backed by a paper"),
        ("original-owner", record(provenance=(NEW,)), Said(), OPEN, "names no owner"),
        ("papers", record(papers=(BILL,)), Said(), YES, "Comes with it: Bill of sale, 1927."),
        ("papers", record(papers=(BILL,)), Said(papers=("letter",)), OPEN, "No such paper"),
        ("papers", record(papers=(COPY,)), Said(), NO, "What comes with it is a copy"),
        ("papers", record(papers=(AWAY,)), Said(), OPEN, "not noted as coming with it"),
        ("factory-work", record(unusual=(KnownUnusual("Nut width", "factory"),)), Said(), YES, "Nut width"),
        ("factory-work", record(unusual=(KnownUnusual("Nut width", "later"),)), Said(), NO, "later work"),
        ("factory-work", record(unusual=(KnownUnusual("Nut width", "unknown"),)), Said(), OPEN, "Nothing is"),
        ("set-up", record(setup="Set up by Nell Tarrow in May 2026."), Said(), YES, "who did it and when"),
        ("set-up", record(setup="Set up by Nell Tarrow."), Said(), OPEN, "does not say when"),
        ("set-up", record(setup="Light strings."), Said(), OPEN, "does not say who did it and when"),
        ("one-of", record(papers=(AWAY,)), Said(number="twelve"), OPEN, "a named source has to say it"),
        ("rare", record(), Said(), OPEN, "a named source has to say it"),
        ("praise", record(), Said(), OPEN, "whose opinion"),
    ],
)  # fmt: skip
def test_each_rule(claim: str, known: Record, said: Said, verdict: Verdict, why: str) -> None:
    judged = judge(claim, known, said)
    assert judged.verdict == verdict, judged
    assert why in judged.why


def test_a_verdict_names_its_rows() -> None:
    assert judge("all-original", record(of={"frets": "later"})).rows == (("Frets", "parts", "part-frets"),)
    assert judge("papers", record(papers=(BILL,))).rows == (("Bill of sale, 1927", "papers/a", ""),)
    assert judge("date", record(dating=(FIRM_1927, FIRM_1930))).rows == (
        ("Rim number 9173", "dating", "evidence-1"),
        ("Patent date on the flange", "dating", "evidence-2"),
    )
    assert judge("rare", record(papers=(AWAY,))).rows == (("Ledger page", "papers/c", ""),)


@pytest.mark.parametrize(
    ("certainty", "seen", "original", "later"),
    [
        ("certain", "eye", YES, NO),
        ("certain", "told", OPEN, NO),
        ("likely", "eye", OPEN, NO),
        ("doubtful", "eye", OPEN, OPEN),
    ],
)
def test_how_sure_it_is(certainty: str, seen: str, original: Verdict, later: Verdict) -> None:
    for state, verdict in (("original", original), ("later", later)):
        tuners = KnownPart("tuners", PartFound("Tuners", state), "", certainty, seen)
        assert judge("original-part", Record(parts=(tuners,)), ONE).verdict == verdict


def test_what_tells_against_it_may_be_said_when_it_is_likely() -> None:
    likely = KnownPart("tuners", PartFound("Tuners", "later"), "", "likely")
    assert judge("replaced-part", Record(parts=(likely,)), ONE).verdict == YES
    doubtful = likely._replace(certainty="doubtful")
    assert judge("replaced-part", Record(parts=(doubtful,)), ONE).verdict == OPEN


def test_every_claim_has_a_written_rule_and_its_opposite_exists() -> None:
    for claim in CLAIMS:
        assert claim.rule.endswith(".")
        assert len(claim.key) <= 30
        assert not claim.opposite or claim.opposite in BY_KEY
    assert len(BY_KEY) == len(CLAIMS)


# Properties

STATES = [state.value for state in Finding.State]
CHAIN = [sorted(step - {"never-fitted"})[0] for step in WORSENING]


@st.composite
def known_parts(draw: st.DrawFn) -> tuple[KnownPart, ...]:
    return tuple(
        KnownPart(
            slug,
            PartFound(name, draw(st.sampled_from(STATES)), role, draw(st.booleans())),
            group,
            draw(st.sampled_from(["certain", "certain", "likely", "doubtful"])),
            draw(st.sampled_from(["eye", "told", ""])),
        )
        for slug, name, role, group in SHEET
    )


def spans() -> st.SearchStrategy[tuple[int | None, int | None]]:
    year = st.integers(1923, 1931)
    return st.one_of(
        st.tuples(year, year).map(lambda two: (min(two), max(two))),
        st.tuples(year, st.none()),
        st.tuples(st.none(), year),
    )


def struck_off(key: int, what: Any, more: Any) -> KnownStruck:
    """Dating evidence when `what` is a span, otherwise an entry of that kind."""
    if isinstance(what, tuple):
        return KnownStruck(key, "dating", Evidence(key, f"Evidence {key}", *what, firm=more))
    return KnownStruck(key, "provenance", KnownEntry(key, f"Entry {key}", what, more))


@st.composite
def records(draw: st.DrawFn) -> Record:
    dating = draw(st.lists(st.tuples(spans(), st.booleans()), max_size=4))
    paper = st.tuples(
        st.sampled_from(["bill", "letter", "ledger"]),
        st.sampled_from(["original", "copy", "seen"]),
        st.booleans(),
    )
    papers = draw(st.lists(paper, max_size=3))
    kinds = st.sampled_from(["made", "sold-new", "owned", "dealer", "out-of-sight", "repaired"])
    entry = st.tuples(kinds, st.sampled_from(["", "letter", "ownership"]))
    entries = draw(st.lists(entry, max_size=4))
    stated = draw(st.one_of(st.none(), st.integers(1923, 1931)))
    struck = draw(st.lists(st.one_of(st.tuples(spans(), st.booleans()), entry), max_size=3))
    return Record(
        parts=draw(known_parts()),
        configuration_made=draw(st.sampled_from(["", "Tenor", "Five-string"])),
        configuration_now=draw(st.sampled_from(["", "Tenor", "Five-string"])),
        made=str(stated or ""),
        made_earliest=stated,
        made_latest=stated,
        made_near=draw(st.booleans()),
        dating=tuple(
            Evidence(key, f"Evidence {key}", *span, firm=firm) for key, (span, firm) in enumerate(dating)
        ),
        papers=tuple(KnownPaper(f"t{key}", f"Paper {key}", *paper) for key, paper in enumerate(papers)),
        provenance=tuple(KnownEntry(key, f"Entry {key}", *entry) for key, entry in enumerate(entries)),
        unusual=tuple(
            KnownUnusual(f"Feature {key}", verdict)
            for key, verdict in enumerate(
                draw(st.lists(st.sampled_from(["factory", "later", "unknown"]), max_size=3))
            )
        ),
        included=draw(st.sampled_from([(), ("Original tuners", "Original case key")])),
        setup=draw(st.sampled_from(["", "Set up by Nell Tarrow in May 2026.", "Light strings."])),
        struck=tuple(struck_off(50 + key, *one) for key, one in enumerate(struck)),
    )


SAID = st.builds(
    lambda slugs, year, papers: Said(parts=slugs, earliest=year, latest=year, papers=papers),
    st.lists(st.sampled_from([slug for slug, *_ in SHEET]), min_size=1, max_size=2, unique=True).map(tuple),
    st.integers(1923, 1931),
    st.sampled_from([(), ("bill",), ("letter",)]),
)


def with_one_removed(known: Record) -> list[tuple[str, str, Record]]:
    """The record with one thing removed, as the desk can do it, each in turn: the section, the label, what is left."""
    left = [
        ("parts", part.found.name, known._replace(parts=tuple(
            one._replace(found=PartFound(one.found.name, "not-examined", one.found.role), certainty="certain", seen="")
            if one is part else one for one in known.parts)))
        for part in known.parts
    ]  # fmt: skip
    left += [("configuration", "", known._replace(configuration_made=""))]
    left += [("configuration", "", known._replace(configuration_now=""))]
    left += [("setup", "", known._replace(setup=""))]
    for field in ("dating", "provenance", "papers", "unusual", "included"):
        rows = getattr(known, field)
        for place, row in enumerate(rows):
            fewer = known._replace(**{field: (*rows[:place], *rows[place + 1 :])})
            if field in {"dating", "provenance"}:
                fewer = fewer._replace(struck=(*known.struck, KnownStruck(100 + place, field, row)))
            left.append((field, str(row), fewer))
    return left


@given(records(), SAID)
def test_removing_evidence_never_supports_a_claim(known: Record, said: Said) -> None:
    """What is removed at the desk: dating evidence and provenance are struck off, all else goes."""
    for claim in CLAIMS:
        before = judge(claim.key, known, said)
        if before.verdict == YES:
            continue
        for section, label, left in with_one_removed(known):
            after = judge(claim.key, left, said)
            assert after.verdict != YES, (claim.key, section, label, before, after)


@st.composite
def almost(draw: st.DrawFn) -> Record:
    """A record that nearly carries a date of 1927 and its one owner; what speaks against it stands or is struck off."""
    spans = st.sampled_from(
        [(1927, 1927), (1926, 1927), (1928, 1930), (1935, 1935), (1926, None), (None, 1925)]
    )
    pieces = [
        Evidence(key, f"Evidence {key}", *draw(spans), firm=draw(st.booleans()))
        for key in range(draw(st.integers(1, 4)))
    ]
    kinds = st.lists(st.sampled_from(["owned", "dealer", "out-of-sight", "repaired"]), max_size=3)
    entries = [KnownEntry(key, f"Entry {key}", kind) for key, kind in enumerate(draw(kinds))]
    off = [KnownStruck(10 + one.key, "dating", one) for one in pieces[1:] if draw(st.booleans())]
    off += [KnownStruck(20 + one.key, "provenance", one) for one in entries if draw(st.booleans())]
    gone = [one.what for one in off]
    return Record(
        dating=tuple(one for one in pieces if one not in gone),
        provenance=(NEW, OWNED, *(one for one in entries if one not in gone)),
        struck=tuple(draw(st.permutations(off))),
    )


@settings(max_examples=400)
@given(almost(), st.booleans())
def test_striking_never_supports_a_claim(known: Record, near: bool) -> None:
    said = Said(earliest=1927, latest=1927, near=near)
    for key in ("date", "one-owner", "original-owner"):
        before = judge(key, known, said)
        for section, label, left in with_one_removed(known):
            after = judge(key, left, said)
            assert before.verdict == YES or after.verdict != YES, (key, section, label, before, after)


@given(almost(), st.booleans())
def test_removing_evidence_never_dates_what_is_guaranteed(known: Record, near: bool) -> None:
    known = known._replace(made="1927", made_earliest=1927, made_latest=1927, made_near=near)
    undated = [said for said in guarantee_exceptions(known) if "date of make" in said.lower()]
    for section, label, left in with_one_removed(known):
        dated = [said for said in guarantee_exceptions(left) if "date of make" in said.lower()]
        assert dated or not undated, (section, label)


@given(records(), SAID)
def test_what_is_struck_off_and_confirmed_counts_no_more(known: Record, said: Said) -> None:
    confirmed = known._replace(struck=())
    for claim in CLAIMS:
        assert judge(claim.key, confirmed, said) == claim.judge(known, said), claim.key


def test_what_was_struck_off_is_named_with_its_day() -> None:
    dealer = KnownStruck(
        7, "provenance", KnownEntry(7, "1950 to 1970: With a dealer", "dealer"), "3 May 2026"
    )
    judged = judge("one-owner", record(provenance=(NEW, OWNED), struck=(dealer,)))
    assert judged.verdict == OPEN
    assert judged.why == (
        "“1950 to 1970: With a dealer” was struck off the record on 3 May 2026, and spoke against it. Until the owner "
        "has confirmed that with a reason, it still counts."
    )
    assert judged.rows[0] == ("1950 to 1970: With a dealer", "provenance", "struck-7")
    assert judged.rows[1:] == (NEW.row, OWNED.row)


def test_what_was_struck_off_and_spoke_against_nothing_holds_nothing_back() -> None:
    wide = KnownStruck(3, "dating", WIDE, "3 May 2026")
    said = Said(earliest=1927, latest=1927)
    assert judge("date", record(dating=(FIRM_1927,), struck=(wide,)), said).verdict == YES


def test_every_step_back_is_looked_at() -> None:
    """All of it put back at once would support the date; as it stood before the last striking, nothing did."""
    said = Said(earliest=1927, latest=1927, near=True)
    told = Evidence(5, "As a neighbour tells it", 1935, 1935, firm=False)
    firm, against = (
        KnownStruck(1, "dating", FIRM_1927, "3 May 2026"),
        KnownStruck(5, "dating", told, "4 May 2026"),
    )
    assert judge("date", record(dating=(HEARSAY, told), struck=(firm,)), said).verdict == OPEN
    assert judge("date", record(dating=(HEARSAY, told, FIRM_1927)), said).verdict == YES
    judged = judge("date", record(dating=(HEARSAY,), struck=(firm, against)), said)
    assert judged.verdict == OPEN
    assert "As a neighbour tells it" in judged.why


@given(records(), st.sampled_from(SHEET), st.integers(0, len(CHAIN) - 2))
def test_no_claim_of_originality_gains_when_a_part_worsens(
    known: Record, worsened: tuple[str, str, str, str], step: int
) -> None:
    slug, name, role, group = worsened
    rank = {NO: 0, OPEN: 1, YES: 2}

    def with_state(state: str) -> Record:
        part = KnownPart(slug, PartFound(name, state, role), group)
        return known._replace(parts=tuple(part if one.slug == slug else one for one in known.parts))

    better, worse = with_state(CHAIN[step]), with_state(CHAIN[step + 1])
    for key in ("all-original", "original-but-for", "untouched", "original-finish", "never-refinished", "original-neck",
                "original-case", "original-part", "original-hardware", "original-frets"):  # fmt: skip
        said = Said(parts=(slug,))
        assert rank[judge(key, worse, said).verdict] <= rank[judge(key, better, said).verdict], key


@given(records(), st.sampled_from(SHEET), st.integers(0, len(CHAIN) - 2))
def test_a_worse_part_never_shortens_the_exceptions(
    known: Record, worsened: tuple[str, str, str, str], step: int
) -> None:
    slug, name, role, group = worsened
    counts = []
    for state in CHAIN[step : step + 2]:
        part = KnownPart(slug, PartFound(name, state, role), group)
        changed = known._replace(parts=tuple(part if one.slug == slug else one for one in known.parts))
        counts.append(len(guarantee_exceptions(changed)))
    assert counts[0] <= counts[1]


@given(records())
def test_less_known_never_means_more_guaranteed(known: Record) -> None:
    """A finding struck out leaves a sentence that names the part, or one that says nothing was examined."""
    for section, label, left in with_one_removed(known):
        if section == "parts":
            said = " ".join(guarantee_exceptions(left))
            assert label.lower() in said or "No part of it has been examined" in said


def test_the_exceptions_in_words() -> None:
    likely = KnownPart("tuners", PartFound("Tuners", "original"), "Peghead", "likely")
    known = record(
        of={"rim": "not-examined", "frets": "later", "case": "not-examined"},
        configuration_made="Tenor, four strings",
        configuration_now="Five-string",
        made="c. 1931",
        made_earliest=1931,
        made_latest=1931,
        made_near=True,
    )
    known = known._replace(parts=tuple(likely if one.slug == "tuners" else one for one in known.parts))
    assert guarantee_exceptions(known) == [
        "It was made as tenor, four strings; it stands as five-string.",
        "The frets are later replacements.",
        "The date of make, c. 1931, is given as our opinion; the evidence does not settle it.",
        "What we say of the tuners is likely, and not certain.",
        "Not examined, and so not covered: rim and case.",
    ]


def test_a_whole_and_dated_piece_has_none() -> None:
    known = record(made="1927", made_earliest=1927, made_latest=1927, dating=(FIRM_1927,))
    assert guarantee_exceptions(known) == []
    unseen = record(of=dict.fromkeys([slug for slug, *_ in SHEET], "not-examined"))
    assert guarantee_exceptions(unseen) == ["No date of make is given.", "No part of it has been examined."]
    assert guarantee_exceptions(Record()) == guarantee_exceptions(unseen)


@pytest.mark.parametrize(
    ("written", "verdict"),
    [
        ("Old surface; no cracks", Verdict.SUPPORTED),
        ("Never split, free of cracks", Verdict.SUPPORTED),
        ("A hairline crack by the bridge", Verdict.CONTRADICTED),
        ("Split at the edge; no repairs", Verdict.CONTRADICTED),
        ("No other cracks", Verdict.CONTRADICTED),
        ("", Verdict.SUPPORTED),
    ],
)
def test_a_crack_that_is_written_down_is_a_crack(written: str, verdict: Verdict) -> None:
    rim = KnownPart("rim", PartFound("Rim", "original", "body"), "Pot", written=written)
    neck = KnownPart("neck", PartFound("Neck", "original", "neck"), "Neck")
    assert judge("no-cracks", Record(parts=(rim, neck))).verdict == verdict
