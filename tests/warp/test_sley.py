"""Which reed and how to sley it, against the rule tried on every cycle there is."""

import itertools
from dataclasses import replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.model.guild import Loom, Reed
from loomready.warp.sley import choose_sley, cycles, dents_for
from loomready.warp.width import repeats_for

LOOM = Loom("floor", "Floor", "jack", 4, 2000.0, (400,) * 4, 0.5)


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


def by_the_rule(ends_at, asked, reeds, weaves):
    """The choice worked out from every cycle there is; reeds as (dents to the cm, width in cm)."""
    options = []
    for place, (dents, width) in enumerate(reeds):
        if width > weaves + Fraction(508, 100):
            continue
        for cycle in every_cycle(5):
            mean = Fraction(sum(cycle), len(cycle))
            if sum(cycle) - int(asked / dents * len(cycle)) not in (0, 1):
                continue  # not next to the sett asked for
            sett = dents * mean
            ends, room = ends_at(sett), min(width, weaves)
            off = abs(sett - asked) / asked
            near = off <= Fraction(3, 100)
            fits = ends / sett <= room and dents_for(ends, cycle) <= dents * width
            if not near and sett > asked and ends_at(asked) / asked > room:
                fits = False  # crowded to fit
            many = max(3, min(5, max(cycle)))
            easy = (0 in cycle, many, len(cycle), off, abs(mean - 2))
            order = easy if near else (off, *easy)
            options.append(((not fits, not near, *order), place, cycle, near, fits))
    return min(options)[1:] if options else None


@settings(max_examples=150, deadline=None)
@given(
    st.integers(10, 60),
    st.integers(1, 40),
    st.integers(8, 40),
    st.integers(20, 60),
    st.lists(st.tuples(st.integers(8, 14), st.integers(20, 60)), min_size=1, max_size=3, unique=True),
)
def test_the_choice_is_the_one_that_the_rule_gives(wanted_cm, repeat, asked, weaves, reeds):
    def ends_at(sett):
        return repeats_for(float(wanted_cm * sett), repeat, 0) * repeat

    loom = replace(LOOM, weaving_width_mm=weaves * 10.0)
    made = choose_sley(
        ends_at,
        0,
        float(asked),
        [Reed(str(n), float(d), w * 10.0) for n, (d, w) in enumerate(reeds)],
        loom,
        asked_mm=ends_at(asked) / asked * 10,
    )
    expected = by_the_rule(lambda sett: Fraction(ends_at(sett)), Fraction(asked), reeds, weaves)
    found = None if made is None else (int(made.reed.key), made.cycle, made.within, made.fits)
    assert found == expected


def test_cycles_differ_by_at_most_one_and_are_their_smallest_rotation():
    for mean in (0.3, 0.9, 1.0, 1.34, 2.5, 3.76):
        for cycle in cycles(mean):
            assert max(cycle) - min(cycle) <= 1
            assert cycle == smallest_rotation(cycle)
            assert len(cycle) <= 4


def inches(*reeds, width=30):
    return tuple(Reed(f"{dents}", dents / 2.54, width * 25.4) for dents in reeds)


def choose(ends, floating, sett, reeds, loom=LOOM, **pins):
    return choose_sley(lambda _: ends, floating, sett, reeds, loom, asked_mm=ends / sett * 10, **pins)


def test_forty_ends_an_inch_are_not_sleyed_eight_in_a_dent():
    made = choose(400, 0, 40 / 2.54, inches(5, 10, 15))
    assert made is not None
    assert (made.reed.key, made.cycle) == ("15", (2, 3, 3))
    made = choose(400, 0, 40 / 2.54, inches(5, 10))
    assert made is not None
    assert (made.reed.key, made.cycle) == ("10", (4,))


def test_two_ends_in_a_dent_are_taken_before_one_or_three():
    made = choose(200, 0, 24 / 2.54, inches(8, 24, 12))
    assert made is not None
    assert (made.reed.key, made.cycle) == ("12", (2,))


def test_a_reed_longer_than_the_loom_takes_is_no_choice():
    table = replace(LOOM, weaving_width_mm=24 * 25.4)
    long, short = inches(12, width=45), inches(8, width=24)
    assert choose(200, 0, 12 / 2.54, long, table) is None
    made = choose(200, 0, 12 / 2.54, (*long, *short), table)
    assert made is not None
    assert made.reed.key == "8"
    made = choose(200, 0, 12 / 2.54, (*long, *short), replace(table, longest_reed_mm=45 * 25.4))
    assert made is not None
    assert made.reed.key == "12"


def test_a_reed_and_a_sley_that_are_set_leave_only_theirs():
    reeds = inches(8, 12)
    made = choose(200, 0, 12 / 2.54, reeds, reed="8")
    assert made is not None
    assert (made.reed.key, made.cycle) == ("8", (1, 2))
    made = choose(200, 0, 24 / 2.54, reeds, sley=(2, 1, 2, 1))
    assert made is not None
    assert (made.reed.key, made.cycle, made.within) == ("12", (1, 2), False)
    assert choose(200, 0, 24 / 2.54, reeds, reed="none") is None


def test_an_empty_dent_comes_only_if_nothing_else_is_near():
    made = choose(60, 0, 3.0, (Reed("coarse", 3.1, 500), Reed("fine", 6.0, 500)))
    assert made is not None
    assert made.cycle == (0, 1)  # 3.1 is more than 3 % off
    made = choose(60, 0, 3.0, (Reed("near", 3.05, 500), Reed("fine", 6.0, 500)))
    assert made is not None
    assert made.cycle == (1,)


def test_the_first_dent_centers_the_web_with_its_floating_selvedges():
    made = choose(42, 2, 4.0, (Reed("r", 4.0, 250),))
    assert made is not None
    assert (made.dents, made.reed_dents, made.first_dent) == (42, 100, 30)


def test_a_web_is_never_crowded_to_fit():
    made = choose(220, 0, 4.0, (Reed("r", 4.0, 500),))
    assert made is not None
    assert (made.cycle, made.within, made.fits) == ((1,), True, False)
    made = choose(220, 0, 4.0, (Reed("odd", 3.7, 500),))  # 5 in 4 dents would hold it at 4.6
    assert made is not None
    assert (made.cycle, made.within, made.fits) == ((1,), False, False)


@given(st.integers(1, 200), st.sampled_from([(1,), (1, 2), (0, 1), (1, 1, 2), (0, 0, 1), (2, 3, 3)]))
def test_dents_hold_just_the_ends(ends, cycle):
    dents, placed = 0, 0
    while placed < ends:
        placed += cycle[dents % len(cycle)]
        dents += 1
    assert dents_for(ends, cycle) == dents
