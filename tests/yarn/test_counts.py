"""Counts as they stand on labels: read, refused, asked about, and written back."""

from __future__ import annotations

import hypothesis.strategies as st
import pytest
from hypothesis import given

from loomready.problems import AmbiguousCount, BadInput, BadQuantity
from loomready.yarn.counts import (
    WRITTEN,
    Reading,
    YarnCount,
    count_of,
    parse_count,
    readings,
    tex_of,
)
from loomready.yarn.fibers import FIBERS

SAME = [
    (
        "8/2 Ne",
        ["Ne 8/2", "8/2 cotton", "cotton 8/2", "8/2Ne", "NeC 8/2", " 8 / 2  ne ", "cotton 8/2 Ne", "8s/2 Ne"],
    ),
    ("16/2 lea", ["NeL 16/2", "16/2 linen", "linen 16/2", "16/2 NeL", "16/2 linen lea", "Linen 16/2 lea"]),
    ("2/20 worsted", ["20/2 worsted", "NeW 2/20", "worsted 2/20", "2/20 worsted wool", "2/20s worsted"]),
    ("2/8 Nm", ["8/2 Nm", "Nm 2/8", "8/2 metric", "wool 2/8 Nm", "2/8 Nm wool"]),
    ("2/16 Yorkshire skein", ["2/16 YSW", "Yorkshire 2/16", "YSW 16/2"]),
    ("20 tex x 2", ["2 x 20 tex", "20 × 2 tex", "R40 tex/2", "R 40 tex / 2", "200 dtex x 2"]),
    (
        "37 tex x 2",
        ["Tex 37x2", "tex 37 x 2", "37tex x2", "2 x 37 tex", "R 74 tex 2", "R74 tex/2", "R74/2 tex"],
    ),
    ("37 tex x 2", ["tex R74/2", "cotton 37 tex x 2", "37 tex x 2 cotton", "R74 tex/2 perle", "74 tex"]),
    ("R74 tex/2", ["R74 tex", "R740 dtex/2", "R 74 tex / 2"]),
    ("120 den", ["120 denier", "120den", "60 den x 2"]),
    ("21 den", ["20/22 den", "20/22 denier", "20-22 den", "silk 20/22 den", "20/22 den silk", "20/22 silk"]),
    ("42 den", ["20/22 den x 2", "2 x 20/22 den", "20/22 x 2 den"]),
    ("10/2 Ne", ["10/2 perle", "10/2 pearl cotton", "10/2 mercerized", "10/2 mercerised cotton"]),
    ("8/4 Ne", ["8/4 carpet warp", "carpet warp 8/4", "8/4 cotton carpet warp"]),
    ("8/2 Ne", ["8/2 tencel", "8/2 lyocell", "8/2 bamboo", "8/2 rayon", "8/2 viscose"]),
    ("3360 yd/lb", ["3360 ypp", "3360 yards per pound", "3360 yds/lb"]),
    ("40/2 spun silk", ["spun silk 40/2", "spun-silk 40/2", "2/40 spun silk"]),
    ("1.5 run", ["1.5-run", "woollen run 1.5", "woolen 1.5 run"]),
    ("2/3 run", ["woollen 2/3 run"]),
    ("20 cut", ["woollen cut 20", "20-cut"]),
    ("22/2 Ne", ["cottolin 22/2 Ne", "22/2 Ne cottolin"]),
    ("22/2 lea", ["cottolin 22/2 lea", "cottolin 22/2 NeL"]),
    ("12/18 Ne", ["12/18 cotton"]),  # seine twine: a ply number that is too large to be a size's
]


@pytest.mark.parametrize(("text", "others"), SAME)
def test_spellings_of_one_yarn_agree(text: str, others: list[str]) -> None:
    for other in others:
        assert parse_count(other).tex == pytest.approx(parse_count(text).tex, rel=1e-12), other


def test_a_count_keeps_what_was_written() -> None:
    count = parse_count("  cotton 8/2 ")
    assert (count.text, count.system, count.plies, count.woollen) == ("cotton 8/2", "cotton", 2, False)


@pytest.mark.parametrize("text", ["2 run", "20 cut", "2/8 YSW"])
def test_woollen_counts_are_known_as_such(text: str) -> None:
    assert parse_count(text).woollen


NO_COUNT = [
    "",
    "   ",
    "Ne",
    "8/2/3 Ne",
    "9**9 Ne",
    "9**9**9 Ne",
    "8/2 Nex",
    "-8/2 Ne",
    "+8 Ne",
    "0 Ne",
    "8/0 Ne",
    "0/2 Ne",
    "8/2.5 Ne",
    "8/100 Ne",
    "1e3 tex",
    "1_0 tex",
    "0x10 tex",
    "8,5 Nm",
    "nan tex",
    "inf tex",
    "٣٠ tex",
    "3² tex",
    "40/2 tex",
    "20/2 den",
    "20/60 den",
    "R74 tex x 2",
    "37 tex 2",
    "R0 tex/2",
    "3360/2 yd/lb",
    "9999999 tex",
    "0.001 tex",
    "20 tex x 0",
    "20 tex x 2.5",
    "8/2 Ne; import os",
    "8\x00/2 Ne",
    "8/2 Ne" + " " * 80,
    "(" * 50,
    "9" * 5000,
]


@pytest.mark.parametrize("text", NO_COUNT)
def test_what_is_no_count_is_refused_in_one_line_with_what_is_expected(text: str) -> None:
    with pytest.raises(BadQuantity, match="expected") as caught:
        parse_count(text)
    assert "\n" not in caught.value.line()
    assert len(caught.value.line()) < 250


@pytest.mark.parametrize("thing", [None, 8, 8.2, True, ["8/2 Ne"], {"count": "8/2"}, b"8/2 Ne"])
def test_what_is_no_text_is_refused(thing: object) -> None:
    with pytest.raises(BadQuantity, match="expected"):
        parse_count(thing)


ASKS = [
    ("2/8 wool", ["2240", "1984", "1024"]),
    ("60/2 silk", ["14882", "50400"]),
    ("22/2 cottolin", ["3300", "9240"]),
    ("8/2", ["3360", "2240", "1200", "1984"]),
    ("2/8", ["3360", "2240", "1200", "1984"]),
    ("8", ["6720", "4480", "2400", "3968"]),
    ("2/8 cotton", ["3360", "210"]),  # some mills print ply/size
    ("2/16 linen", ["2400", "37.5"]),
    ("3/2 run", ["2400", "1066.67"]),
    ("16/2 Ne linen", ["6720", "2400"]),  # "Ne" alone is the cotton hank, but some mean lea
    ("12/2 hemp", ["1800", "2976"]),
    ("20/2 ramie", ["3000", "4961"]),
    ("2/14 alpaca", ["3472", "3920"]),
    ("2/9 mohair", ["2520", "2232"]),
    ("8 woollen", ["12800", "2400", "2048"]),
    ("8/2 Ne Nm", ["3360", "1984"]),
    ("6/5 woollen", ["1920", "360", "307"]),
]


@pytest.mark.parametrize(("text", "yards"), ASKS)
def test_an_ambiguous_count_is_asked_about(text: str, yards: list[str]) -> None:
    with pytest.raises(AmbiguousCount) as caught:
        parse_count(text)
    line = caught.value.line()
    assert all(each in line for each in yards)
    assert "\n" not in line
    assert len(readings(text)) == len(yards)


@pytest.mark.parametrize("text", [text for text, _ in ASKS] + [text for text, _ in SAME])
def test_every_reading_says_how_to_write_it(text: str) -> None:
    for reading in readings(text):
        assert parse_count(reading.write).tex == pytest.approx(reading.count.tex, rel=1e-5)


BY_FIBER = [
    ("10/2", "cotton", "10/2 Ne"),
    ("10/2", "Mercerized cotton", "10/2 Ne"),
    ("5/2", "perle", "5/2 Ne"),
    ("8/4", "carpet warp", "8/4 Ne"),
    ("8/2", "tencel", "8/2 Ne"),
    ("16/2", "linen", "16/2 lea"),
    ("16/1", "flax", "16/1 lea"),
    ("2/20", "worsted", "2/20 worsted"),
    ("2/20 wool", "worsted", "2/20 worsted"),
    ("20/22", "silk", "21 den"),
    ("8", "cotton", "8 Ne"),
]


@pytest.mark.parametrize(("text", "fiber", "reading"), BY_FIBER)
def test_a_bare_count_is_read_by_its_fiber_and_says_so(text: str, fiber: str, reading: str) -> None:
    count = parse_count(text, fiber)
    assert count.tex == pytest.approx(parse_count(reading).tex, rel=1e-12)
    assert (count.text, count.read_as) == (text, reading)


@pytest.mark.parametrize(
    "text", [text for text, _ in SAME if text.endswith(("Ne", "lea", "Nm", "run", "tex"))]
)
@pytest.mark.parametrize("fiber", ["", "cotton", "wool", "silk", "something else"])
def test_a_count_that_names_its_system_is_read_alike_whatever_the_fiber(text: str, fiber: str) -> None:
    count = parse_count(text, fiber)
    assert (count.tex, count.read_as) == (parse_count(text).tex, "")


@pytest.mark.parametrize(
    ("text", "reading"), [("10/2 perle", "10/2 Ne"), ("20/22 den", "21 den"), ("8/2 cotton", "")]
)
def test_a_reading_is_said_where_the_label_does_not_name_the_system(text: str, reading: str) -> None:
    assert parse_count(text).read_as == reading


BY_FIBER_ASKS = [
    ("2/8", "wool", ["2/8 worsted", "2/8 Nm", "2/8 Yorkshire skein"]),
    ("60/2", "Silk", ["60/2 Nm", "60/2 spun silk"]),
    ("22/2", "cottolin", ["22/2 lea", "22/2 Ne"]),
    ("8/2", "raffia", ["8/2 Ne", "8/2 worsted", "8/2 lea", "8/2 Nm"]),
    ("2/8", "cotton", ["8/2 Ne", "210 yd/lb"]),
]


@pytest.mark.parametrize(("text", "fiber", "meant"), BY_FIBER_ASKS)
def test_a_count_that_stays_open_brings_its_readings(text: str, fiber: str, meant: list[str]) -> None:
    with pytest.raises(AmbiguousCount) as caught:
        parse_count(text, fiber)
    assert [each.write for each in caught.value.readings] == meant
    for each in caught.value.readings:
        assert each.write in caught.value.line()
        assert parse_count(each.write, fiber).tex == pytest.approx(each.tex, rel=1e-5)


TWISTED = [("8/2 Ne", True), ("2/8 Nm", True), ("37 tex x 2", True), ("60 den x 2", True)]
AS_SPUN = [
    ("8 Ne", False),
    ("16/1 lea", False),
    ("74 tex", False),
    ("20/22 den", False),
    ("3360 yd/lb", False),
]
AS_PLIED = [("R74 tex/2", False), ("40/2 spun silk", False)]


@pytest.mark.parametrize(("text", "before"), TWISTED + AS_SPUN + AS_PLIED)
def test_a_plied_count_is_figured_before_twisting_unless_it_is_resultant(text: str, before: bool) -> None:
    assert parse_count(text).before_twisting is before


@given(st.integers(1, 2000), st.integers(1, 12), st.sampled_from(["tex", "dtex"]))
def test_folded_and_resultant_notations_of_one_yarn_agree(single: int, plies: int, unit: str) -> None:
    counts = [
        parse_count(text)
        for text in (
            f"{single} {unit} x {plies}",
            f"{unit.title()} {single}x{plies}",
            f"R {single * plies} {unit} {plies}",
            f"R{single * plies} {unit}/{plies}",
        )
    ]
    assert {count.plies for count in counts} == {plies}
    assert [count.tex for count in counts] == pytest.approx([counts[0].tex] * 4, rel=1e-12)


@given(st.integers(8, 200), st.floats(1.01, 1.5))
def test_a_denier_range_is_read_as_its_middle(low: int, wider: float) -> None:
    high = max(low + 1, int(low * wider))
    assert parse_count(f"{low}/{high} den").tex == pytest.approx((low + high) / 2 / 9, rel=1e-12)


@given(
    st.integers(1, 200),
    st.integers(1, 200) | st.none(),
    st.sampled_from([fiber.name for fiber in FIBERS] + ["", "wool and silk", "straw"]),
)
def test_each_reading_of_a_bare_count_reads_back_to_itself_alone(
    first: int, second: int | None, fiber: str
) -> None:
    bare = f"{first}" if second is None else f"{first}/{second}"
    for reading in _readings(bare, fiber):
        assert reading.count.read_as == reading.write
        again = parse_count(reading.write, fiber)
        assert again.tex == pytest.approx(reading.count.tex, rel=1e-5)
        if reading.write.endswith("yd/lb"):  # a count printed the other way round, told by its grist
            continue
        assert (again.system, again.plies) == (reading.count.system, reading.count.plies)


def _readings(text: str, fiber: str) -> tuple[Reading, ...]:
    try:
        return readings(text, fiber)
    except BadQuantity:
        return ()


SYSTEMS = st.sampled_from(sorted(WRITTEN))
TEX = st.floats(0.5, 20_000.0)


@given(SYSTEMS, TEX)
def test_a_count_in_any_system_goes_there_and_back(system: str, tex: float) -> None:
    assert tex_of(count_of(tex, system), system) == pytest.approx(tex, rel=1e-12)


@given(st.integers(5, 200), st.integers(2, 4), st.sampled_from(["Nm", "worsted", "cut", "YSW", "spun silk"]))
def test_the_order_of_size_and_ply_does_not_matter_where_both_are_in_use(
    size: int, ply: int, unit: str
) -> None:
    assert parse_count(f"{size}/{ply} {unit}").tex == parse_count(f"{ply}/{size} {unit}").tex


@given(st.text(max_size=30) | st.text(alphabet="0123456789/. NeLWmtxRdxrunk-", max_size=20))
def test_any_text_is_a_count_or_a_clear_error(text: str) -> None:
    for fiber in ("", "silk", "cottolin"):
        _is_count_or_clear(text, fiber)


def _is_count_or_clear(text: str, fiber: str) -> None:
    line, count = _read(text, fiber)
    assert "\n" not in line
    if count is not None:
        assert 0.1 <= count.tex <= 100_000
        assert count.plies >= 1


def _read(text: str, fiber: str) -> tuple[str, YarnCount | None]:
    try:
        return "", parse_count(text, fiber)
    except BadInput as error:
        return error.line(), None
