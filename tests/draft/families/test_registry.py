"""The registry: every family makes a sound draft unasked, says what it can be asked, and refuses the rest."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.cli import main
from loomready.draft.draft import Draft, drawdown
from loomready.draft.families import parameters as kinds
from loomready.draft.families import registry
from loomready.draft.families.options import read_options
from loomready.draft.structure import analysis
from loomready.draft.wif import reader, writer
from loomready.problems import BadInput

NAMES = tuple(registry.FAMILIES)


def made_or_refused(name: str, options: dict[str, str]) -> Draft | None:
    """The draft; None where it was refused as it should be."""
    try:
        return registry.make(name, options)
    except BadInput as error:
        refused = error
    # Too few shafts are told beside the profile that is too large for them.
    assert refused.where in options or ("shafts" in options and refused.where == "profile"), refused.line()
    assert "expected" in refused.what
    assert "\n" not in refused.line()
    return None


@pytest.mark.parametrize("name", NAMES)
def test_every_family_unasked_makes_a_draft_without_a_problem(name: str) -> None:
    draft = registry.make(name)
    found = analysis.analyze(draft)
    assert found.problems == ()
    assert found.holds_together
    assert found.shafts_used == draft.shafts
    assert draft.title
    assert len({*draft.warp_colors.tolist(), *draft.weft_colors.tolist()}) == 2


@pytest.mark.parametrize("name", NAMES)
def test_a_draft_made_is_written_and_read_back_the_same_cloth(name: str, tmp_path) -> None:
    draft = registry.make(name)
    writer.save(tmp_path / "made.wif", draft)
    back = reader.read(tmp_path / "made.wif").draft
    assert (drawdown(back) == drawdown(draft)).all()
    assert back.title == draft.title
    assert back.treadles == draft.treadles


@pytest.mark.parametrize("name", NAMES)
def test_repeats_only_write_the_repeat_again(name: str) -> None:
    once, thrice = (registry.make(name, {"repeats": times}) for times in ("1", "3"))
    assert thrice.ends == 3 * once.ends
    assert thrice.picks == 3 * once.picks
    # Enough repeats are there unasked that the repeat is read as it was meant.
    assert analysis.analyze(registry.make(name)).repeat == analysis.analyze(thrice).repeat
    assert once.ends % analysis.analyze(thrice).repeat[0] == 0


@pytest.mark.parametrize("name", NAMES)
def test_every_parameter_says_its_meaning_its_default_and_what_it_expects(name: str) -> None:
    family = registry.family(name)
    names = [parameter.name for parameter in family.parameters]
    assert len(set(names)) == len(names)
    for parameter in family.parameters:
        assert parameter.kind
        assert parameter.meaning
        assert parameter.expected
        if parameter.default is None:
            assert parameter.unsaid
        else:
            parameter.read(parameter.default)


@pytest.mark.parametrize("name", NAMES)
def test_both_ends_of_every_range_and_every_choice_make_a_draft_or_say_why_not(name: str) -> None:
    for parameter in registry.family(name).own:
        values: list[str] = []
        if isinstance(parameter, kinds.WholeNumber):
            values = [str(parameter.lowest), str(parameter.highest)]
        elif isinstance(parameter, kinds.WordChoice):
            values = list(parameter.choices)
        elif isinstance(parameter, kinds.Switch):
            values = ["yes", "no"]
        for value in values:
            draft = made_or_refused(name, {parameter.name: value})
            if draft is not None:
                assert analysis.analyze(draft).problems == (), (parameter.name, value)


@given(st.sampled_from(NAMES), st.data())
@settings(max_examples=150, deadline=None)
def test_any_words_make_a_draft_or_are_one_line_with_what_is_expected(name: str, data: st.DataObject) -> None:
    family = registry.family(name)
    words = st.one_of(
        st.text(max_size=6), st.integers(-3, 60).map(str), st.text("ABCDE,", min_size=1, max_size=8)
    )
    names = st.sampled_from([parameter.name for parameter in family.parameters])
    draft = made_or_refused(name, data.draw(st.dictionaries(names, words, max_size=2)))
    assert draft is None or (draft.ends and draft.picks)


def test_an_option_that_the_family_does_not_have_is_named_with_those_it_has() -> None:
    with pytest.raises(BadInput) as caught:
        registry.make("rosepath", {"counter": "3"})
    assert caught.value.line().startswith(
        "counter: rosepath has no such option; expected one of: shafts, tieup"
    )


def test_a_tie_up_that_ties_nothing_is_refused() -> None:
    for nothing in ("", "0/4", "4/0", "4", "2/1/1", "a/b", "-1/5"):
        with pytest.raises(BadInput) as caught:
            registry.make("straight-twill", {"tieup": nothing})
        assert caught.value.where == "tieup"


def test_a_loom_with_too_few_shafts_for_one_block_is_told_how_many_it_takes() -> None:
    with pytest.raises(BadInput, match="one block alone needs 4 shafts") as refused:
        registry.make("twill-blocks", {"profile": "A", "shafts": "3"})
    assert refused.value.where == "shafts"


def test_options_are_read_in_each_of_their_spellings() -> None:
    family = registry.family("point-twill")
    assert read_options(family, ["--shafts=8", "--treadling", "straight"]) == {
        "shafts": "8",
        "treadling": "straight",
    }
    for words in (["--shafts"], ["--shafts", "--repeats", "2"], ["8"], ["--shafts=8", "--shafts=8"]):
        with pytest.raises(BadInput):
            read_options(family, words)


def test_the_command_makes_a_file_and_says_so(tmp_path, capsys) -> None:
    out = tmp_path / "point.wif"
    words = ["make", "point-twill", "--shafts", "8", "--tieup", "3/2/1/2", "--repeats", "2", "-o", str(out)]
    assert main(words) == 0
    assert "wrote" in capsys.readouterr().err
    assert reader.read(out).draft.ends == 28


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["point-twill", "--shafts", "41"], '--shafts: "41" is not possible; expected a whole'),
        (["point-twill", "--shafts", "8", "--tieup", "2/1"], "--tieup: 2/1 fills 3 shafts, not 8"),
        (["point-twill", "--counter", "3"], "--counter: point-twill has no such option"),
        (["satin", "--shafts", "8", "--counter", "2"], "--counter: 2 is not a satin counter on"),
        (["satin", "--shafts", "6"], "--shafts: there is no regular satin on 6 shafts"),
        (["pointed"], 'no family "pointed"; expected one of: plain-weave'),
        ([], "no family given"),
    ],
)  # fmt: skip
def test_what_makes_no_draft_is_one_line_and_leaves_the_file_as_it_was(tmp_path, capsys, words, said) -> None:
    out = tmp_path / "kept.wif"
    out.write_text("as it was")
    assert main(["make", *words, "-o", str(out)]) == 2
    printed = capsys.readouterr()
    assert printed.err.startswith(f"loomready: {said}")
    assert printed.err.count("\n") == 1
    assert out.read_text() == "as it was"
    assert [path.name for path in tmp_path.iterdir()] == ["kept.wif"]


def test_the_list_names_every_family_and_option(capsys) -> None:
    assert main(["make", "--list", "--json"]) == 0
    families = json.loads(capsys.readouterr().out)["families"]
    assert [family["name"] for family in families] == list(NAMES)
    assert main(["make", "--list"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 100
    told = " ".join(" ".join(lines).split())
    for family in families:
        assert f" {family['name']}: {family['says']}" in told
        for option in family["options"]:
            assert f"--{option['name']} {option['meaning']}" in told


def test_the_page_on_families_names_them_all_in_order() -> None:
    page = (Path(__file__).parents[3] / "docs" / "families.md").read_text(encoding="utf-8")
    assert re.findall(r"^\| `([a-z-]+)` \|", page, re.M) == list(NAMES)


@pytest.mark.parametrize("name", [name for name in NAMES if registry.FAMILIES[name].least > 2])
def test_a_family_is_offered_from_the_fewest_shafts_on_that_weave_more_than_two_sheds(name: str) -> None:
    def found(shafts: int) -> analysis.Analysis:
        return analysis.analyze(registry.make(name, {"shafts": str(shafts)}))

    least = registry.FAMILIES[name].least
    assert found(least).distinct_lifts > 2
    assert found(least - 1).distinct_lifts <= 2


@pytest.mark.parametrize("name", [name for name in NAMES if name != "satin"])
def test_both_ends_of_a_range_are_possible_on_some_loom(name: str) -> None:
    """What a form offers as least and most is not refused whatever else is chosen.

    A satin's counter is any number: the family then says which counters its shafts have.
    """
    family = registry.family(name)
    looms = ("", *map(str, range(40, 1, -1))) if "shafts" in {each.name for each in family.own} else ("",)
    for parameter in family.own:
        if isinstance(parameter, kinds.WholeNumber) and parameter.name != "shafts":
            for value in (parameter.lowest, parameter.highest):
                asked = ({parameter.name: str(value)} | ({"shafts": loom} if loom else {}) for loom in looms)
                assert any(made_or_refused(name, each) for each in asked), (parameter.name, value)


@pytest.mark.parametrize(("draw", "line"), [("straight", range(8)), ("point", [*range(7), *range(7, 0, -1)])])
def test_the_dark_ends_of_shadow_weave_run_over_all_the_shafts_and_their_shadows_half_the_shafts_on(
    draw: str, line: list[int]
) -> None:
    draft = registry.make("shadow-weave", {"shafts": "8", "draw": draw, "repeats": "1"})
    dark, shadow = draft.threading[::2], draft.threading[1::2]
    assert dark.tolist() == list(line)
    assert ((dark + 4) % 8 == shadow).all()
