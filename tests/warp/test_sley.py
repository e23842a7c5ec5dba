"""Which reed and how to sley it, against the rule tried on every cycle there is."""

import itertools
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.model.guild import Reed
from loomready.warp.sley import choose_sley, cycles, dents_for


def smallest_rotation(cycle):
    return min(cycle[i:] + cycle[:i] for i in range(len(cycle)))


def every_cycle(most):
    for length in range(1, 5):
        for cycle in itertools.product(range(most + 1), repeat=length):
            shorter = any(length % n == 0 and cycle == cycle[:n] * (length // n) for n in range(1, length))
            if (
                sum(cycle)
                and max(cycle) - min(cycle) <= 1
                and not shorter
                and cycle == smallest_rotation(cycle)
            ):
                yield cycle


def by_the_rule(ends, asked, reeds):
    options = []
    for place, (dents, width) in enumerate(reeds):
        for cycle in every_cycle(5):
            sett = dents * Fraction(sum(cycle), len(cycle))
            crowded = ends / asked > width and sett > asked * Fraction(115, 100)
            if not crowded and ends / sett <= width and dents_for(ends, cycle) <= dents * width:
                options.append((abs(sett - asked) / asked, len(cycle), place, cycle))
    near = [one for one in options if one[0] <= Fraction(3, 100)]
    full = [one for one in near if 0 not in one[3]]
    if full or near:
        _, _, place, cycle = min(full or near, key=lambda one: (one[1], one[0], one[2]))
        return place, cycle, True
    if not options:
        return None
    _, _, place, cycle = min(options, key=lambda one: (one[0], one[1], one[2]))
    return place, cycle, False


@settings(max_examples=150, deadline=None)
@given(
    st.integers(20, 300),
    st.integers(8, 40),
    st.lists(st.tuples(st.integers(8, 14), st.integers(20, 60)), min_size=1, max_size=3, unique=True),
)
def test_the_choice_is_the_one_that_the_rule_gives(ends, asked_x4, reeds):
    asked = Fraction(asked_x4, 1)
    made = choose_sley(
        ends, 0, float(asked), tuple(Reed(str(n), float(d), w * 10.0) for n, (d, w) in enumerate(reeds))
    )
    expected = by_the_rule(ends, asked, reeds)
    if expected is None:
        assert made is None
    else:
        assert made is not None
        place, cycle, within = expected
        assert (made.within, len(made.cycle), made.sett_per_cm) == (
            within,
            len(cycle),
            pytest.approx(float(reeds[place][0] * Fraction(sum(cycle), len(cycle)))),
        )
        assert made.cycle == cycle


def test_cycles_differ_by_at_most_one_and_are_their_smallest_rotation():
    for mean in (0.3, 0.9, 1.0, 1.34, 2.5, 3.76):
        for cycle in cycles(mean):
            assert max(cycle) - min(cycle) <= 1
            assert cycle == smallest_rotation(cycle)
            assert len(cycle) <= 4


def test_empty_dents_come_only_if_nothing_else_fits():
    made = choose_sley(60, 0, 3.0, (Reed("coarse", 3.1, 500), Reed("fine", 6.0, 500)))
    assert made is not None
    assert made.cycle == (0, 1)  # 3.1 is more than 3 % off
    made = choose_sley(60, 0, 3.0, (Reed("near", 3.05, 500), Reed("fine", 6.0, 500)))
    assert made is not None
    assert made.cycle == (1,)


def test_the_first_dent_centers_the_web_with_its_floating_selvedges():
    made = choose_sley(42, 2, 4.0, (Reed("r", 4.0, 250),))
    assert made is not None
    assert (made.dents, made.reed_dents, made.first_dent) == (42, 100, 30)


def test_no_reed_wide_enough_gives_none():
    assert choose_sley(400, 0, 4.0, (Reed("r", 4.0, 500),)) is None


@given(st.integers(1, 200), st.sampled_from([(1,), (1, 2), (0, 1), (1, 1, 2), (0, 0, 1), (2, 3, 3)]))
def test_dents_hold_just_the_ends(ends, cycle):
    dents, placed = 0, 0
    while placed < ends:
        placed += cycle[dents % len(cycle)]
        dents += 1
    assert dents_for(ends, cycle) == dents
