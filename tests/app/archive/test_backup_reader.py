"""app.json of a backup may come from anywhere: what is wrong is named in a line, and nothing is imported."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client
from hypothesis import given, settings
from hypothesis import strategies as st

from loomready.app.archive import backup_extras
from loomready.app.models import Change, Record
from loomready.app.state.snapshot import current_snapshot
from loomready.problems import BadInput

HAND = "a" * 16
STEP = ["winding", "0" * 16, 1, 2, 1, 1, HAND]
WEIGHED = {"day": "2026-10-03", "gross": "200 g", "tare": "20 g", "who": "here"}
PLAN = {
    "loom": "porch",
    "structure": "twill",
    "warp_yarns": ["a"],
    "weft_yarns": ["a"],
    "warp_ends": {"a": 40},
    "label": {"a": 3.4},
    "width_in_reed_mm": 400.0,
    "warp_length_m": 5.0,
    "unwoven_m": 0.2,
}
GOOD: dict[str, dict[str, Any]] = {
    "progress": {"towels": {"step": "wound"}},
    "day": {"next": {"name": "Open studio", "date": "2026-12-01"}},
    "order": {"warps": {"keys": ["towels"]}},
    "weighings": {"fern-big": {"made": [WEIGHED]}},
    "mistakes": {"fern-big": {"made": [{"day": "", "gross": "2 g", "tare": "1 g", "right": ""}]}},
    "happened": {"towels": {"plan": PLAN, "washed_width": "14 in", "hours": {"winding": "2:30"}}},
    "beam": {"porch": {"around": "24 in"}},
    "facts": {"towels": {"made": [STEP]}},
}
LONG = "7" * 400


def line_of(text: str | bytes) -> str:
    """The one line that says what is wrong; it can be sent to a browser."""
    with pytest.raises(BadInput) as caught:
        backup_extras.things_in(text.encode() if isinstance(text, str) else text)
    said = caught.value.line()
    assert said.startswith("app.json: ")
    assert "\n" not in said
    assert len(said) < 300
    said.encode()
    return said


def test_what_a_backup_holds_is_read() -> None:
    assert [(kind, key) for kind, key, _ in backup_extras.things_in(json.dumps(GOOD).encode())] == [
        (kind, key) for kind, records in GOOD.items() for key in records
    ]


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ('{"beam": {"porch": {"around": "0 mm"}}}', 'beam "porch": around'),
        ('{"beam": {"porch": {"around": 24}}}', 'beam "porch"'),
        ('{"beam": {"a/b": {"around": "24 in"}}}', 'beam "a/b"'),
        ('{"progress": {"../x": {"step": "wound"}}}', 'progress "../x"'),
        ('{"weighings": {"fern": {"made": [{"day": "", "gross": "x", "tare": "1 g", "who": ""}]}}}', "gross"),
        ('{"weighings": {"fern": {"made": [{"day": "soon", "gross": "1 g"}]}}}', "tare is missing"),
        ('{"weighings": {"fern": {"made": 3}}}', 'weighings "fern"'),
        ('{"progress": {"\\ud800": {"step": "wound"}}}', "half a character"),
        ('{"day": {"next": {"name": "\\udc00", "date": "2026-12-01"}}}', "half a character"),
        (
            f'{{"facts": {{"towels": {{"made": [["winding", "{"0" * 16}", 1, 2, 1, {LONG}, "{HAND}"]]}}}}}}',
            "400",
        ),
        ('{"beam": {"porch": {"around": NaN}}}', "NaN"),
        ('{"beam": {"porch": {"around": 1e999}}}', "finite"),
        ('{"beam": {"porch": -Infinity}}', "Infinity"),
        ('{"cellar": {}}', '"cellar"'),
        ('{"beam": []}', "beam"),
        ("[]", "table"),
        ("[" * 5000, "JSON"),
        (b"\xff\xfe", "JSON"),
        (b'{"beam": {"\xed\xa0\x80": {}}}', "JSON"),
    ],
)
def test_each_fault_is_named_in_one_line(text: str | bytes, named: str) -> None:
    assert named in line_of(text)


def test_very_many_empty_records_are_refused() -> None:
    many = {f"warp-{number}": {"made": []} for number in range(400_000)}
    assert "400,000 records of facts" in line_of(json.dumps({"facts": many}))
    assert 'facts "towels": holds no steps' in line_of('{"facts": {"towels": {"made": []}}}')
    rows = json.dumps({"facts": {"towels": {"made": [[]] * 400_000}}})
    assert 'facts "towels"' in line_of(rows)


@pytest.mark.parametrize("name", ["width_in_reed_mm", "warp_length_m", "unwoven_m"])
@pytest.mark.parametrize("value", [-1, 1e12, 10**19, "5", None, True])
def test_a_figure_of_a_project_record_has_a_range(name: str, value: Any) -> None:
    record = {"plan": PLAN | {name: value}}
    assert 'happened "towels"' in line_of(json.dumps({"happened": {"towels": record}}))


def leaves(tree: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = [path] if path else []
    if isinstance(tree, dict):
        for key, value in tree.items():
            found += leaves(value, (*path, key))
    elif isinstance(tree, list):
        for place, value in enumerate(tree):
            found += leaves(value, (*path, place))
    return found


ODD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(st.characters(), max_size=20),
    st.sampled_from(["\ud800", "0 mm", "a/b", "..", "9" * 70 + " g", "1e5 g", "2026-13-40", "-1 g", "²"]),
    st.lists(st.integers(), max_size=3),
    st.dictionaries(st.text(max_size=4), st.integers(), max_size=2),
)


@settings(max_examples=300, deadline=None)
@given(path=st.sampled_from(leaves(GOOD)), odd=ODD)
def test_any_odd_value_anywhere_is_read_or_refused_in_one_line(path: tuple[Any, ...], odd: Any) -> None:
    tree = json.loads(json.dumps(GOOD))
    inside = tree
    for part in path[:-1]:
        inside = inside[part]
    inside[path[-1]] = odd
    said, things = "", []
    try:
        things = backup_extras.things_in(json.dumps(tree).encode())
    except BadInput as error:
        said = error.line()
    assert "\n" not in said
    said.encode()
    json.dumps([fields for _, _, fields in things], allow_nan=False).encode()


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=60))
def test_any_bytes_are_read_or_refused_in_one_line(data: bytes) -> None:
    said = ""
    try:
        backup_extras.things_in(data)
    except BadInput as error:
        said = error.line()
    assert "\n" not in said


def test_steps_in_short_are_the_same_steps() -> None:
    short = {"steps": [["winding", "0" * 16, HAND, [1, 2, 1, 1, 3, 4, 0, 2]]]}
    full = {"made": [STEP, ["winding", "0" * 16, 3, 4, 0, 2, HAND]]}
    texts = [json.dumps({"facts": {"towels": each}}).encode() for each in (short, full)]
    told = [backup_extras.things_in(text) for text in texts]
    assert told[0] == told[1]


@pytest.mark.parametrize(
    "steps",
    [
        3,
        [],
        [[]],
        [["winding", "0" * 16, HAND, [1, 2, 1]]],
        [["winding", "0" * 16, HAND, [1, 2, 1, "1"]]],
        [["winding", "0" * 16, HAND, 4]],
        [["winding", 3, HAND, [1, 2, 1, 1]]],
    ],
)
def test_steps_in_short_that_mean_nothing_are_refused(steps: Any) -> None:
    assert 'facts "towels"' in line_of(json.dumps({"facts": {"towels": {"steps": steps}}}))


@pytest.mark.django_db
def test_nothing_of_a_file_with_one_fault_is_taken_in(weaver: Client) -> None:
    before = Change.objects.count()
    tree = GOOD | {"beam": {"porch": {"around": "24 in"}, "a/b": {"around": "24 in"}}}
    with pytest.raises(BadInput):
        backup_extras.things_in(json.dumps(tree).encode())
    assert Change.objects.count() == before


@pytest.mark.django_db
def test_a_home_that_holds_such_rows_already_opens_and_can_be_mended(weaver: Client) -> None:
    loom = current_snapshot().guild.warps[0].loom
    warp = current_snapshot().guild.warps[0].key
    rows = [
        ("beam", loom, {"around": "0 mm", "sticks": "x"}),
        ("weighings", "fern-big", {"made": [WEIGHED | {"gross": "x"}]}),
        ("happened", "a/b", {"plan": PLAN}),
        ("happened", "towels", {"plan": PLAN | {"width_in_reed_mm": 0}}),
        ("happened", "scarves", {"plan": "x"}),
        ("progress", "a/b", {"step": "x"}),
    ]
    for kind, key, fields in rows:
        Record.objects.create(kind=kind, key=key, fields=fields, position=1)
    pages = ("/", "/beside", f"/beside/{warp}/beaming", "/shelf", "/shelf/cone/fern-big", "/records")
    for page in (*pages, "/shelf/cone/fern-big/ledger", "/records/towels", "/guild", f"/warps/{warp}"):
        assert weaver.get(page).status_code == 200, page
    assert "0 mm" in weaver.get(f"/beside/{warp}/beaming").content.decode()
    version = str(Record.objects.get(kind="beam").version)
    assert weaver.post(f"/beside/{warp}/beam", {"around": "24 in", "version": version}).status_code == 302
