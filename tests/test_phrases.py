"""Sentences as data: what they say, and what a catalog makes of them."""

from __future__ import annotations

import copy
import gettext
import pickle
from typing import ClassVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loomready.phrases import (
    ENGLISH,
    WORDS,
    Phrase,
    capitalized,
    filled,
    joined,
    listed,
    listed_with_and,
    phrase,
    plural,
    some,
    template,
    translated,
    word,
)


class German(gettext.NullTranslations):
    """A catalog of a few texts; others stay English."""

    texts: ClassVar = {
        "{loom} weaves {width}.": "{width} webt {loom}.",
        "{count:,} end": "{count} Faden",
        "{count:,} ends": "{count} Fäden",
        "{all_but_last} and {last}": "{all_but_last} und {last}",
        "left": "links",
        "; ": " / ",
    }

    def gettext(self, message: str) -> str:
        return self.texts.get(message, message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


GERMAN = German()
NAMES = st.text(max_size=12)
COUNTS = st.integers(-5, 10**9)


def sentences() -> st.SearchStrategy[Phrase]:
    """Phrases with names, counts and phrases as parts."""
    leaves = st.one_of(
        st.builds(lambda name: phrase("Cone {cone} is short.", cone=name), NAMES),
        st.builds(lambda count: some(count, "end"), COUNTS),
        st.sampled_from(sorted(WORDS)).map(word),
    )
    return st.recursive(
        leaves,
        lambda inner: st.one_of(
            st.builds(lambda parts: joined("; ", parts), st.lists(inner, max_size=3)),
            st.builds(lambda parts: listed_with_and(parts), st.lists(inner, max_size=3)),
            st.builds(lambda one, two: phrase("{one}: {two}", one=one, two=two), inner, inner),
            inner.map(capitalized),
        ),
        max_leaves=6,
    )


@given(sentences())
def test_a_phrase_is_its_english_text(said: Phrase) -> None:
    assert translated(said, ENGLISH) == str(said) == said


@given(sentences())
def test_a_phrase_says_the_same_after_it_was_stored_or_copied(said: Phrase) -> None:
    for again in (pickle.loads(pickle.dumps(said)), copy.deepcopy(said), copy.copy(said)):
        assert again == said
        assert translated(again, GERMAN) == translated(said, GERMAN)


def test_a_catalog_may_change_the_order_of_the_parts() -> None:
    said = phrase("{loom} weaves {width}.", loom="Porch", width="24 in")
    assert said == "Porch weaves 24 in."
    assert translated(said, GERMAN) == "24 in webt Porch."


def test_phrases_inside_a_phrase_are_translated_and_names_are_not() -> None:
    said = phrase("{ends} at the {side} of {cone}", ends=some(2, "end"), side=word("left"), cone="left")
    assert translated(said, GERMAN) == "2 Fäden at the links of left"


def test_counts_choose_their_template() -> None:
    assert [some(count, "end") for count in (0, 1, 1200)] == ["0 ends", "1 end", "1,200 ends"]
    assert [translated(some(count, "end"), GERMAN) for count in (1, 2)] == ["1 Faden", "2 Fäden"]
    assert plural(1, "{cones} was weighed", "{cones} were weighed", cones="A") == "A was weighed"


def test_what_joins_phrases_is_translated_too() -> None:
    said = joined(phrase("; "), [some(1, "end"), "plum"])
    assert translated(said, GERMAN) == "1 Faden / plum"
    assert translated(listed_with_and(["a", "b", "c"]), GERMAN) == "a, b und c"
    assert [listed_with_and(each) for each in ([], ["a"])] == ["", "a"]
    assert listed([1, 2]) == "1, 2"


def test_a_sentence_begins_with_a_capital_in_every_language() -> None:
    assert translated(capitalized(word("left")), GERMAN) == "Links"


def test_braces_in_a_name_are_letters_like_others() -> None:
    assert phrase("{cone} is gone", cone="{odd}") == "{odd} is gone"
    assert filled(template("end {end}"), end="{0}") == "end {0}"


def test_data_is_translated_where_it_holds_phrases_and_stays_what_it_is_elsewhere() -> None:
    data = {"left": [word("left"), "left", 3, None], "pair": (some(1, "end"), 2.5)}
    assert translated(data, GERMAN) == {"left": ["links", "left", 3, None], "pair": ("1 Faden", 2.5)}


def test_a_word_that_is_none_of_the_trade_is_refused() -> None:
    with pytest.raises(KeyError):
        word("sideways")
