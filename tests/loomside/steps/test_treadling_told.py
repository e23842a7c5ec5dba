"""A treadling in a weaver's short form: what is written weaves just the picks of the long form."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.draft.draft import Draft, lift_plan
from loomready.draft.families.registry import make
from loomready.draft.tabby import use_tabby
from loomready.loomside.steps.lifting import lifting
from loomready.loomside.steps.threading import loom_shaft
from loomready.loomside.steps.treadling_told import Treadling, Treadlings, treadlings
from loomready.model.guild import Item, Loom
from loomready.warp.length import pick_roles
from loomready.warp.plan import plan_guild
from loomready.warp.result import WarpPlan
from tests import cast

TABLE = replace(cast.LOOM, kind="table", treadles=0)
WIDE_TABLE = replace(TABLE, shafts=12, heddles=(60,) * 12)
WORD = re.compile(r"\d+ × \(|\)|, |[^,()]+")


def planned(draft: Draft, loom: Loom = cast.LOOM, weft_yarns: tuple[str, ...] = ("chalk",)) -> WarpPlan:
    order = cast.order(weft_yarns=weft_yarns)
    return plan_guild(cast.guild(order, looms=(loom,)), cast.drafts(draft)).warps[0]


def told(plan: WarpPlan, which: int = 0) -> list[str]:
    return [line.told for line in treadlings(plan).lists[which].lines]


def read(line: str) -> Iterator[str]:
    """A line as a weaver reads it: every pick that it says, brackets and runs written out."""
    words = WORD.findall(line)
    assert "".join(words) == line
    stack: list[tuple[int, list[str]]] = [(1, [])]
    for word in words:
        if word.endswith(" × ("):
            stack.append((int(word.split()[0]), []))
        elif word == ")":
            times, inside = stack.pop()
            stack[-1][1].extend(inside * times)
        elif run := re.fullmatch(r"(\d+)–(\d+)(| [a-z]+)", word):
            first, last = int(run[1]), int(run[2])
            step = 1 if last > first else -1
            stack[-1][1].extend(f"{number}{run[3]}" for number in range(first, last + step, step))
        elif word != ", ":
            stack[-1][1].append(word)
    assert len(stack) == 1
    yield from stack[0][1]


def long_form(made: Treadling, lifts: tuple[tuple[int, ...], ...]) -> list[str]:
    """Every pick of the repeat, from the short form alone: numbers of lifts and tabby looked up."""
    sheds = re.match(r"Tabby: (.+?) and (.+?) in turn", made.tabby)
    tabby = itertools.cycle(sheds.groups()) if sheds else itertools.cycle([""])
    found: list[str] = []
    for line in made.lines:
        picks: list[str] = []
        for each in read(line.told):
            pick = next(tabby) if each.startswith("tabby") else each
            pick = pick if not line.yarn or each.startswith("tabby") else f"{pick} {line.yarn}"
            if "not listed" not in made.tabby:
                picks.append(pick)
            elif "before" in made.tabby:
                picks += [next(tabby), pick]
            else:
                picks += [pick, next(tabby)]
        assert len(picks) == line.last - line.first + 1
        assert line.first == len(found) + 1
        found += picks
    if not lifts:
        return found
    by_number = {f"{n}": " ".join(map(str, lift)) for n, lift in enumerate(lifts, start=1)}
    return [re.sub(r"^\d+", lambda number: by_number[number[0]], pick) for pick in found]


def wanted(plan: WarpPlan, weft_place: int) -> list[str]:
    """Every pick of the repeat, straight from the draft."""
    weft = plan.wefts[weft_place]
    woven = lifting(weft.draft, plan.loom, loom_shaft(plan), plan.treadles)
    roles = pick_roles(weft, woven.repeat).tolist()
    several = len(set(roles)) > 1
    picks = []
    for pick in range(woven.repeat):
        moved = woven.treadles[pick] if woven.treadles else (woven.up[pick].nonzero()[0] + 1).tolist()
        yarn = f" {weft.yarns[roles[pick]]}" if several else ""
        picks.append(" ".join(map(str, moved)) + yarn)
    return picks


def same_picks(plan: WarpPlan) -> None:
    made: Treadlings = treadlings(plan)
    assert sorted(place for each in made.lists for place in each.places) == list(range(len(plan.wefts)))
    for each in made.lists:
        for place in each.places:
            assert long_form(each, made.lifts) == wanted(plan, place)


SHEDS = ((1, 2), (2, 3), (3, 4), (1, 4), (1, 3), (2, 4))
phrases_of_picks = st.lists(st.integers(0, 5), min_size=1, max_size=9)


@settings(max_examples=60, deadline=None)
@given(phrases_of_picks, st.integers(1, 4), phrases_of_picks, st.booleans())
def test_the_short_form_written_out_gives_every_pick(first, times, then, levers):
    picks = [*first, *(then * times), *first]
    draft = lift_plan([1, 2, 3, 4], [SHEDS[pick] for pick in picks])
    same_picks(planned(draft, TABLE if levers else cast.LOOM))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 1)), min_size=2, max_size=24))
def test_yarns_are_told_with_the_picks_they_weave(picks):
    colors = [color for _, color in picks]
    first = colors[0]
    draft = lift_plan(
        [1, 2, 3, 4],
        [SHEDS[shed] for shed, _ in picks],
        weft_colors=[int(color != first) for color in colors],
        palette=((0, 0, 0), (255, 255, 255)),
    )
    yarns = ("chalk", "fern") if len(set(colors)) > 1 else ("chalk",)
    same_picks(planned(draft, weft_yarns=yarns))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 11), st.integers(3, 9), st.booleans()), min_size=1, max_size=6))
def test_runs_and_numbered_lifts_give_every_pick(runs):
    picks = [(begin + (step if up else -step)) % 12 for begin, size, up in runs for step in range(size)]
    lifts = [sorted({pick + 1, (pick + 1) % 12 + 1, (pick + 5) % 12 + 1}) for pick in picks]
    same_picks(planned(lift_plan(list(range(1, 13)), lifts), WIDE_TABLE))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(0, 3), min_size=1, max_size=12), st.integers(1, 3), st.booleans())
def test_tabby_that_is_said_once_is_woven_in_turn(pattern, times, listed):
    base = lift_plan([1, 2, 3, 4], [SHEDS[pick] for pick in pattern for _ in range(times)])
    ground = use_tabby(base, (9, 9, 9))
    if listed:  # four pattern picks without tabby: now tabby has to stand in the lines
        lifts = [*ground.lifts, *base.lifts[:1], *base.lifts[:1]]
        ups = [(lift.nonzero()[0] + 1).tolist() for lift in lifts]
        ground = lift_plan([1, 2, 3, 4], ups)
        same_picks(planned(ground))
    else:
        same_picks(planned(ground, weft_yarns=("chalk", "fern")))


def test_picks_that_repeat_are_said_once_with_how_often():
    assert told(planned(lift_plan([1, 2, 3, 4], [[1, 2], [2, 3]] * 4 + [[3, 4], [1, 4]] * 3), TABLE)) == [
        "4 × (1 2, 2 3)",
        "3 × (3 4, 1 4)",
    ]


def test_tabby_between_pattern_picks_is_not_listed():
    base = lift_plan([1, 2, 3, 4], [*[[1, 2]] * 4, *[[2, 3]] * 4, *[[3, 4]] * 4])
    plan = planned(use_tabby(base, (9, 9, 9)), TABLE, ("chalk", "fern"))
    (made,) = treadlings(plan).lists
    assert made.tabby == (
        "Tabby: 1 3 fern and 2 4 fern in turn, one pick after each pick listed; tabby is not listed."
    )
    assert [(line.first, line.last, line.yarn, line.told) for line in made.lines] == [
        (1, 8, "chalk", "4 × (1 2)"),
        (9, 16, "chalk", "4 × (2 3)"),
        (17, 24, "chalk", "4 × (3 4)"),
    ]


def test_a_plain_stretch_beside_pattern_with_tabby_is_tabby_too():
    pattern = [[1, 2], [1, 3], [1, 2], [2, 4]] * 2
    plain = [[1, 3], [2, 4]] * 3
    (made,) = treadlings(planned(lift_plan([1, 2, 3, 4], [*pattern, *plain]), TABLE)).lists
    assert made.tabby == "Tabby: 1 3 and 2 4 in turn, starting with 1 3."
    assert [line.told for line in made.lines] == ["4 × (1 2, tabby)", "6 × (tabby)"]


def test_112_picks_of_overshot_become_about_a_dozen_lines():
    draft = make("overshot", {"profile": "ABCBADCDABCDCB"})
    assert draft.picks == 112
    plan = planned(draft, weft_yarns=("chalk", "fern"))
    (made,) = treadlings(plan).lists
    assert made.repeat == 112
    assert len(made.lines) <= 14
    assert made.tabby
    same_picks(plan)


def test_many_lifts_get_numbers_and_runs():
    around = [
        [(start + step + shaft) % 12 + 1 for shaft in (0, 1, 5)] for start in range(8) for step in range(5)
    ]
    made = treadlings(planned(lift_plan(list(range(1, 13)), around), WIDE_TABLE))
    assert len(made.lifts) == 12
    assert made.lifts[0] == (1, 2, 6)
    assert [line.told for line in made.lists[0].lines] == ["1–5, 2–6, 3–7, 4–8, 5–9, 6–10, 7–11, 8–12"]


def test_pieces_that_are_treadled_alike_share_one_list():
    items = (Item(1.0), Item(1.0, weft_yarns=("fern",)), Item(1.0, draft="other"))
    order = cast.order(items=items)
    drafts = {"d": cast.TWILL, "other": lift_plan([1, 2, 3, 4], [[1, 3], [2, 4]])}
    plan = plan_guild(cast.guild(order), drafts).warps[0]
    assert [each.places for each in treadlings(plan).lists] == [(0, 1), (2,)]


def test_with_too_few_treadles_there_is_no_list():
    assert treadlings(planned(cast.TWILL, replace(cast.LOOM, treadles=2))).lists == ()
