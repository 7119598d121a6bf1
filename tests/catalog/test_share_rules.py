"""Commission and share of a consigned piece: published tables of graduated rates, worked examples, properties."""

from decimal import Decimal
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.pricing import share_rules
from catalog.pricing.share_rules import Share, Terms, Tier, flat, in_words

D = Decimal
CENT = D("0.01")
reckon = partial(share_rules.reckon, digits=2)
LINES = Terms((Tier(D(0), D(20)), Tier(D(5000), D(15)), Tier(D(20000), D(10))))


@pytest.mark.parametrize(
    ("price", "percent", "commission"),
    [
        ("12500", "20", "2500.00"),
        ("100.10", "12.5", "12.51"),  # 12.5125
        ("0.10", "45", "0.05"),  # 0.045, half up
        ("0.10", "44.9", "0.04"),
        ("1000", "0", "0.00"),
        ("1000", "100", "1000.00"),
        ("0", "20", "0"),
    ],
)
def test_one_rate(price: str, percent: str, commission: str) -> None:
    """Plain arithmetic, worked by hand."""
    found = reckon(D(price), flat(D(percent)))
    assert found.commission == D(commission)
    assert found.share == D(price) - D(commission)


@pytest.mark.parametrize(
    ("price", "commission"),
    [
        ("4999.99", "1000.00"),  # 999.998
        ("5000", "1000.00"),
        ("5000.01", "1000.00"),  # 0.0015 more
        ("5000.04", "1000.01"),  # 0.006 more
        ("12500", "2125.00"),
        ("20000", "3250.00"),
        ("30000", "4250.00"),
    ],
)
def test_tiers(price: str, commission: str) -> None:
    """20 per cent up to 5,000, 15 up to 20,000, 10 above. Common practice, no source; worked by hand."""
    assert reckon(D(price), LINES).commission == D(commission)


def test_the_lines_of_a_statement() -> None:
    """12,500 in the tiers above: 5,000 at 20 and 7,500 at 15; the third tier is not reached."""
    parts = reckon(D(12500), LINES).parts
    assert [(p.above, p.up_to, p.percent, p.amount, p.commission) for p in parts] == [
        (D(0), D(5000), D(20), D(5000), D(1000)),
        (D(5000), D(20000), D(15), D(7500), D(1125)),
    ]


@pytest.mark.parametrize(
    ("price", "terms", "borne", "commission", "share", "not_covered"),
    [
        # gross: the commission is counted on the price as paid
        ("1000", flat(D(20)), "100", "200", "700", "0"),
        # net: on what the borne costs leave
        ("1000", Terms((Tier(D(0), D(20)),), net=True), "100", "180", "720", "0"),
        # the least commission
        ("1000", Terms((Tier(D(0), D(20)),), least=D(250)), "0", "250", "750", "0"),
        ("2000", Terms((Tier(D(0), D(20)),), least=D(250)), "0", "400", "1600", "0"),
        # never more than the price
        ("200", Terms((Tier(D(0), D(20)),), least=D(250)), "0", "200", "0", "0"),
        # costs that the price does not cover
        ("200", flat(D(20)), "180", "40", "0", "20"),
        ("200", Terms((Tier(D(0), D(20)),), net=True), "500", "0", "0", "300"),
        # costs taken back beyond what was spent bring the consignor nothing
        ("200", flat(D(20)), "-50", "40", "160", "0"),
        ("-5", flat(D(20)), "0", "0", "0", "0"),
    ],
)
def test_least_basis_and_borne_costs(
    price: str, terms: Terms, borne: str, commission: str, share: str, not_covered: str
) -> None:
    """Common practice, no source; worked by hand."""
    found = reckon(D(price), terms, borne=D(borne))
    assert (found.commission, found.share, found.not_covered) == (D(commission), D(share), D(not_covered))


@pytest.mark.parametrize(("digits", "commission"), [(0, "125"), (2, "125.13"), (3, "125.125")])
def test_the_minor_units_of_the_currency(digits: int, commission: str) -> None:
    assert reckon(D(1001), flat(D("12.5")), digits=digits).commission == D(commission)


def test_the_terms_in_words() -> None:
    money = "${:,}".format
    assert in_words(flat(D("17.50")), money) == "17.5 per cent"
    assert (
        in_words(Terms(LINES.tiers, least=D(250)), money)
        == "20 per cent up to $5,000, 15 per cent up to $20,000, 10 per cent above, at least $250"
    )


amounts = st.decimals(0, 1_000_000, places=2)
percents = st.decimals(0, 100, places=2)
tiers = st.dictionaries(st.decimals(0, 200_000, places=2), percents, min_size=1, max_size=5)


@st.composite
def terms(draw: st.DrawFn) -> Terms:
    rows = draw(tiers)
    return Terms(
        tuple(Tier(above, percent) for above, percent in rows.items()),
        least=draw(st.one_of(st.just(D(0)), st.decimals(0, 5000, places=2))),
        net=draw(st.booleans()),
    )


@given(price=amounts, terms=terms(), borne=st.decimals(0, 5000, places=2))
def test_it_always_adds_up(price: Decimal, terms: Terms, borne: Decimal) -> None:
    found: Share = reckon(price, terms, borne=borne)
    assert 0 <= found.commission <= price
    assert 0 <= found.share <= price
    assert found.commission + found.share + borne - found.not_covered == price
    assert found.by_rate == sum((part.commission for part in found.parts), D(0))
    assert sum((part.amount for part in found.parts), D(0)) <= found.counted_on


@given(low=amounts, more=amounts, terms=terms(), borne=st.decimals(0, 5000, places=2))
def test_a_higher_price_never_makes_either_side_poorer(
    low: Decimal, more: Decimal, terms: Terms, borne: Decimal
) -> None:
    one, other = reckon(low, terms, borne=borne), reckon(low + more, terms, borne=borne)
    assert one.commission <= other.commission
    assert one.share <= other.share


@given(terms=terms(), data=st.data())
def test_no_tier_begins_with_a_step(terms: Terms, data: st.DataObject) -> None:
    """A cent more of price is a cent more of commission at most, also where a tier begins."""
    tier = data.draw(st.sampled_from(terms.tiers))
    at, above = (reckon(tier.above + extra, terms).commission for extra in (D(0), CENT))
    assert 0 <= above - at <= CENT


@given(price=amounts, percent=percents, cuts=st.lists(st.decimals(0, 200_000, places=2), max_size=4))
def test_tiers_of_one_rate_are_that_rate(price: Decimal, percent: Decimal, cuts: list[Decimal]) -> None:
    """But for the rounding of each part, which is half a cent at most."""
    same = Terms(tuple(Tier(above, percent) for above in {D(0), *cuts}))
    assert abs(reckon(price, same).commission - reckon(price, flat(percent)).commission) <= CENT * len(
        same.tiers
    )
