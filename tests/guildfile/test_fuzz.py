"""Whatever is thrown at the codec, it answers with a guild or with one line."""

from __future__ import annotations

from datetime import date, datetime

import hypothesis.strategies as st
from hypothesis import given, settings

from loomready import guildfile
from loomready.guildfile.schema import SECTIONS
from loomready.guildfile.warp_schema import ITEMS
from loomready.problems import BadInput
from tests.guildfile.room import TEXT, tree

NAMES = sorted({key.name for section in (*SECTIONS.values(), ITEMS) for key in section.keys} | set(SECTIONS))
SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.just(10**4000),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(["1 g", "2 in", "5 %", "3 /cm", "8/2 Ne", "a", "table"]),
    st.just(date(2026, 1, 1)),
    st.just(datetime(2026, 1, 1)),
)
ANYTHING = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.sampled_from(NAMES) | st.text(max_size=8), inner, max_size=6)
    ),
    max_leaves=20,
)
CHUNKS = st.sampled_from(
    [
        "[[",
        "]]",
        "[",
        "]",
        "{",
        "}",
        "=",
        "\n",
        '"',
        "'''",
        '"""',
        ".",
        ",",
        "#",
        "\\",
        "1979-05-27",
        "0x",
        "e9",
        "-",
        "inf",
    ]
)


def ends_well(read, *given_values):
    try:
        read(*given_values)
    except BadInput as error:
        line = error.line()
        assert line.isprintable()
        assert 0 < len(line) < 1500


@given(st.binary(max_size=300))
def test_random_bytes(data):
    ends_well(lambda: guildfile.decode(guildfile.parse(data)))


@given(st.lists(st.one_of(st.sampled_from(NAMES), CHUNKS, st.text(max_size=3)), max_size=30).map("".join))
def test_random_toml(text):
    ends_well(lambda: guildfile.decode(guildfile.parse(text)))


@settings(max_examples=200)
@given(st.integers(0, len(TEXT)), st.integers(0, 30), CHUNKS | st.text(max_size=6))
def test_a_good_file_with_a_wound(start, length, instead):
    text = TEXT[:start] + instead + TEXT[start + length :]
    ends_well(lambda: guildfile.decode(guildfile.parse(text)))


@given(ANYTHING)
def test_random_trees(made):
    ends_well(guildfile.decode, made)


@settings(max_examples=300)
@given(st.data())
def test_a_good_tree_with_anything_in_one_place(data):
    made = tree()
    table = data.draw(st.sampled_from([record for name in made if name != "guild" for record in made[name]]))
    table[data.draw(st.sampled_from([*table, *NAMES]))] = data.draw(ANYTHING)
    ends_well(guildfile.decode, made)


@given(st.sampled_from(sorted(SECTIONS)), ANYTHING)
def test_random_records(section, fields):
    ends_well(guildfile.decode_record, section, fields)


@given(st.sampled_from(sorted(SECTIONS)), st.text(max_size=60))
def test_random_json(section, text):
    ends_well(guildfile.from_json, section, text)
