"""One dye lot a color role, against every choice there is."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.warp.dye_lots import LotStock, RoleDemand, choose_lots

LENGTH_M = 4.0

stock = st.builds(
    lambda ends, extra: LotStock(tuple(sorted(ends, reverse=True)), sum(ends) * LENGTH_M + extra),
    st.lists(st.integers(0, 12), min_size=1, max_size=3),
    st.floats(0, 12),
)
role = st.one_of(
    st.builds(RoleDemand, st.integers(1, 20), st.just(0.0)),
    st.builds(RoleDemand, st.just(0), st.floats(0.5, 70)),
)


def serves(stocks, roles, choice):
    for place, lot in enumerate(stocks):
        mine = [one for one, chosen in zip(roles, choice, strict=True) if chosen == place]
        ends = sum(one.ends for one in mine)
        if ends > lot.ends or ends * LENGTH_M + sum(one.weft_m for one in mine) > lot.usable_m + 1e-9:
            return False
    return True


def opened(stocks, roles, choice):
    each = [
        sum(one.ends for one, chosen in zip(roles, choice, strict=True) if chosen == place)
        for place in range(len(stocks))
    ]
    return sum(lot.opened(ends) for lot, ends in zip(stocks, each, strict=True))


@settings(max_examples=200)
@given(st.lists(stock, min_size=1, max_size=4), st.lists(role, min_size=1, max_size=4))
def test_the_choice_serves_all_with_the_fewest_cones_whenever_any_choice_serves(stocks, roles):
    every = [
        choice
        for choice in itertools.product(range(len(stocks)), repeat=len(roles))
        if serves(stocks, roles, choice)
    ]
    pool = sum(lot.usable_m for lot in stocks)
    made = choose_lots(tuple(stocks), tuple(roles), LENGTH_M, pool)
    assert serves(stocks, roles, made) == bool(every)
    if every:
        assert opened(stocks, roles, made) == min(opened(stocks, roles, choice) for choice in every)


def test_lots_do_not_mix_however_many_there_are():
    lots = tuple(LotStock((8,), 8 * LENGTH_M) for _ in range(60))
    made = choose_lots(
        lots, (RoleDemand(9, 0.0), RoleDemand(8, 0.0), RoleDemand(0, 30.0)), LENGTH_M, 60 * 8 * LENGTH_M
    )
    assert not serves(lots, (RoleDemand(9, 0.0), RoleDemand(8, 0.0), RoleDemand(0, 30.0)), made)
    assert len(made) == 3


@pytest.mark.parametrize(("ends", "cones"), [(0, 0), (1, 1), (9, 1), (10, 2), (14, 2), (15, 3)])
def test_cones_opened_are_counted_from_the_largest(ends, cones):
    assert LotStock((9, 5, 2), 100.0).opened(ends) == cones


@given(
    st.lists(
        st.tuples(st.lists(st.integers(0, 6), min_size=1, max_size=3), st.floats(0, 60)),
        min_size=2,
        max_size=4,
    ),
    st.integers(1, 12),
    st.floats(0, 40),
)
def test_a_color_that_no_lot_serves_takes_the_lot_that_lacks_least_of_it(lots, ends, weft_m):
    length = 5.0
    stocks = tuple(
        LotStock(tuple(sorted(cones, reverse=True)), max(usable, length * sum(cones)))
        for cones, usable in lots
    )

    def lack(stock):
        got = min(ends, stock.ends)
        return ends - got, max(0.0, weft_m - (stock.usable_m - got * length))

    (place,) = choose_lots(stocks, (RoleDemand(ends, weft_m),), length, 0.0)
    missing_ends, missing_m = lack(stocks[place])
    assert missing_ends == min(lack(stock)[0] for stock in stocks)
    assert missing_m == pytest.approx(
        min(lack(stock)[1] for stock in stocks if lack(stock)[0] == missing_ends)
    )
