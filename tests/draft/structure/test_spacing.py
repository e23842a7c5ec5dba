"""Threads that a file spaces unevenly are told, never read and dropped."""

from dataclasses import replace

import numpy as np

from loomready.draft.structure.analysis import analyze
from loomready.draft.structure.spacing import _named
from loomready.draft.wif.reader import parse
from tests.cast import PLAIN, TWILL
from tests.warp.test_plan import plan

CRAMMED = """[WIF]
Version=1.1
[WEAVING]
Shafts=2
[WARP]
Threads=8
Units=centimeters
Spacing=0.2
[WEFT]
Threads=2
[WARP SPACING]
5=0.1
6=0.1
[THREADING]
1=1
2=2
3=1
4=2
5=1
6=2
7=1
8=2
[LIFTPLAN]
1=1
2=2
"""


def told(problems):
    return [(each.level, each.message) for each in problems if each.code == "uneven-spacing"]


def test_check_tells_which_ends_a_file_crams():
    ((level, message),) = told(analyze(parse(CRAMMED.encode()).draft).problems)
    assert level == "warn"
    assert "1 mm (ends 5-6)" in message
    assert "2 mm (ends 1-4, 7-8)" in message
    assert "evenly" in message


def test_a_file_that_spaces_every_thread_alike_says_nothing():
    even = CRAMMED.replace("5=0.1\n6=0.1\n", "5=0.2\n")
    assert told(analyze(parse(even.encode()).draft).problems) == []
    assert told(analyze(PLAIN).problems) == []
    rounded = replace(TWILL, warp_spacing_mm=np.array([1.058, 1.059, 1.058, 1.058]))
    assert told(analyze(rounded).problems) == []


def test_a_plan_says_that_it_sleys_evenly_what_the_file_spaces():
    ((level, message),) = told(
        plan(draft=replace(TWILL, warp_spacing_mm=np.array([2.0, 1.0, 1.0, 2.0]))).problems
    )
    assert level == "warn"
    assert "1 mm (ends 2-3)" in message
    assert "The plan sleys all ends at 8 ends/cm" in message


def test_a_plan_says_that_it_counts_one_ppi_for_picks_that_a_file_beats_unevenly():
    ((_, message),) = told(
        plan(draft=replace(TWILL, weft_spacing_mm=np.array([1.0, 1.0, 1.0, 3.0]))).problems
    )
    assert "3 mm (pick 4)" in message
    assert "counts the same number of picks everywhere" in message


def test_many_kinds_of_spacing_are_told_in_a_few_words():
    ((_, message),) = told(analyze(replace(TWILL, warp_spacing_mm=np.linspace(1, 2, 4))).problems)
    assert "from 1 to 2 mm" in message
    assert len(message) < 300


def test_ends_with_no_room_at_all_are_told_too():
    ((_, message),) = told(analyze(replace(TWILL, warp_spacing_mm=np.array([0.0, 2.0, 2.0, 2.0]))).problems)
    assert "0 mm (end 1)" in message


def test_threads_are_named_in_runs_of_neighbors() -> None:
    assert str(_named("end", np.array([4]))) == "end 5"
    assert str(_named("end", np.array([0, 1, 2, 4, 6, 7]))) == "ends 1-3, 5, 7-8"
    assert str(_named("pick", np.array([0, 2]))) == "picks 1, 3"
