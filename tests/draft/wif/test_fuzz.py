"""Any bytes are a draft or one clear line; never anything else."""

from __future__ import annotations

import hypothesis.strategies as st
from hypothesis import given, settings

from loomready.draft.draft import Draft, drawdown
from loomready.draft.wif import reader, writer
from loomready.problems import BadInput
from tests.strategies import differences, drafts

SECTIONS = sorted(reader.OWN_SECTIONS | {"private x y", "warp symbols"})
VALUES = st.one_of(
    st.integers(-2, 70).map(str),
    st.lists(st.integers(0, 66), max_size=5).map(lambda numbers: ",".join(map(str, numbers))),
    st.sampled_from(
        ["", "true", "false", "0,255", "10000000", "9" * 30, "1e9", "NaN", "inches", "1 ; a", "²", "0.5"]
    ),
    st.text(max_size=8),
)
KEYS = st.one_of(
    st.integers(0, 12).map(str),
    st.sampled_from(
        ["Threads", "Shafts", "Treadles", "Color", "Units", "Spacing", "Rising Shed", "Range", "Entries"]
    ),
    st.text(max_size=5),
)
LINES = st.one_of(st.builds("{}={}".format, KEYS, VALUES), st.text(max_size=12))


@st.composite
def soups(draw: st.DrawFn) -> bytes:
    """Sections with right names and wild lines, around a core that is often a draft."""
    parts = ["[WIF]\nVersion=1.1", "[THREADING]\n1=1\n2=2", "[LIFTPLAN]\n1=1\n2=2"]
    for name in draw(st.lists(st.sampled_from(SECTIONS), max_size=8)):
        parts.append("\n".join([f"[{name}]", *draw(st.lists(LINES, max_size=5))]))
    return "\n".join(draw(st.permutations(parts))).encode("utf-8", "replace")


@st.composite
def mutated(draw: st.DrawFn) -> bytes:
    """A good file with a few bytes cut, doubled or changed."""
    data = bytearray(writer.dumps(draw(drafts(max_ends=5, max_picks=5))))
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(data)))
        stop = start + draw(st.integers(0, 20))
        data[start:stop] = draw(st.one_of(st.binary(max_size=4), st.just(bytes(data[start:stop] * 2))))
    return bytes(data)


def settle(data: bytes) -> Draft | None:
    """The draft, whole and writable again; or None for one clear line."""
    line = None
    try:
        found = reader.parse(data)
    except BadInput as error:
        line = error.line()
    if line is not None:
        assert line.isprintable()
        assert 0 < len(line) < 300
        return None
    draft = found.draft
    assert drawdown(draft).shape == (draft.picks, draft.ends)
    assert all(
        0 <= int(colors.max()) < len(draft.palette) for colors in (draft.warp_colors, draft.weft_colors)
    )
    assert min(draft.warp_colors.min(), draft.weft_colors.min()) >= 0
    assert all(problem.message.isprintable() for problem in found.warnings)
    assert differences(reader.parse(writer.dumps(draft)).draft, draft) == []
    return draft


@given(st.binary(max_size=400))
@settings(max_examples=200, deadline=None)
def test_random_bytes_never_break_the_reader(data: bytes) -> None:
    settle(data)
    settle(b"[WIF]\n" + data)
    settle(b"[WIF]\n[THREADING]\n1=1\n[LIFTPLAN]\n1=1\n[X]\n" + data)


@given(soups())
@settings(max_examples=300, deadline=None)
def test_a_soup_of_sections_never_breaks_the_reader(data: bytes) -> None:
    settle(data)


@given(mutated())
@settings(max_examples=200, deadline=None)
def test_a_damaged_file_never_breaks_the_reader(data: bytes) -> None:
    settle(data)


def test_the_fuzz_reaches_good_drafts() -> None:
    assert settle(b"[WIF]\n[THREADING]\n1=1\n2=2\n[LIFTPLAN]\n1=1\n2=2\n") is not None
