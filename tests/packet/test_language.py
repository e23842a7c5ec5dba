"""The packet in another language: every word of sheets and pictures is looked up, names are not."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from loomready.loomside.steps.lifting import RISES, SINKS
from loomready.packet import packet as packet_module
from loomready.packet.data import packet_data, packet_pictures
from loomready.packet.packet import packet_pdf
from loomready.packet.template_words import TEMPLATES, texts
from loomready.phrases import translated
from loomready.warp.result import WarpPlan

from ..marked import Marked
from . import plans, reading

MARKED = Marked("«", "»")  # signs that the fonts have
UNITS = {"in", "yd", "oz", "lb", "epi", "ppi", "cm", "m", "mm", "g", "kg", "ends", "picks", "dents"}


def named(plan: WarpPlan) -> set[str]:
    """Words that the guild brought, letters of yarns, units, signs of a tie-up."""
    guild, order = plan.guild, plan.order
    names = [guild.name, order.key, order.draft, plan.loom.name, plan.draft.title or ""]
    names += [text for yarn in guild.yarns for text in (yarn.key, yarn.name)]
    names += [cone.key for cone in guild.cones]
    names += [reed.key for reed in guild.reeds]
    words = set(re.findall(r"[^\W\d_][^\W_]*(?:-[\w]+)*", " ".join(names)))
    return words | UNITS | set("ABCDEFGH") | {RISES, SINKS}


def short() -> WarpPlan:
    return plans.short().warps[0]


@pytest.mark.parametrize("make", [plans.band, plans.curtain, short], ids=["band", "curtain", "short"])
def test_no_english_is_left_on_the_sheets_of_another_language(make: Callable[[], WarpPlan]) -> None:
    plan = make()
    text = "\n".join(reading.pages(packet_pdf(plan, version=3, catalog=MARKED)))
    assert MARKED.left_out(text) <= named(plan)
    assert "«Sley and heddles»" in text


def test_no_text_of_the_data_is_left_in_english() -> None:
    plan = plans.curtain()
    every = " ".join(_texts(translated(packet_data(plan), MARKED)))
    assert MARKED.left_out(every) <= named(plan) | _keys(plan)


def _keys(plan: WarpPlan) -> set[str]:
    """Texts that steer the layout, and colors."""
    colors = {word for yarn in plan.guild.yarns for word in re.findall(r"[a-f]+\d*[a-f\d]*", f"{yarn.color}")}
    return colors | {"us-letter", "a4", "left", "right", "stop", "warn", "row", "pair", "stack"}


def _texts(tree: Any) -> Iterator[str]:
    if isinstance(tree, str):
        if not re.fullmatch(r"#[0-9a-f]{6}", tree):
            yield tree
    elif isinstance(tree, dict | list | tuple):
        for each in tree.values() if isinstance(tree, dict) else tree:
            yield from _texts(each)


def test_the_words_in_the_pictures_are_looked_up() -> None:
    plan = plans.curtain()
    _, pictures = packet_pictures(plan, MARKED)
    shown = " ".join(
        text
        for name, svg in pictures.items()
        if name.startswith("strip-")
        for text in re.findall(r"<text[^>]*>([^<]*)</text>", svg)
    )
    assert "«" in shown
    assert not MARKED.left_out(shown)


def test_a_packet_declares_the_language_of_its_catalog() -> None:
    pdf = packet_pdf(plans.band(), catalog=MARKED, language="pt-BR")
    assert reading.reader(pdf).trailer["/Root"]["/Lang"] == "pt-BR"
    pdf = packet_pdf(plans.band(), catalog=MARKED, language="de")
    assert reading.reader(pdf).trailer["/Root"]["/Lang"] == "de"


def test_every_text_of_the_templates_is_found() -> None:
    """Each call of t is found, and each holds its text as a literal."""
    code = "\n".join(
        re.sub(r"^\s*//.*", "", file.read_text(), flags=re.MULTILINE) for file in TEMPLATES.glob("*.typ")
    )
    calls = len(re.findall(r"(?<![\w.-])t\(", code))
    literals = len(re.findall(r"(?<![\w.-])t\(\"[^\"]+\"[,)]", code))
    assert calls == literals + 1  # its definition
    assert len(texts()) == len(set(texts())) > 60
    assert {"Sley and heddles", "Leave {before} {dents} free at the {side}, {after} at the {other}."} <= set(
        texts()
    )


def test_a_template_holds_no_other_words() -> None:
    for file in TEMPLATES.glob("*.typ"):
        code = re.sub(r"^\s*//.*", "", file.read_text(), flags=re.MULTILINE)
        code = re.sub(r"(?<![\w.-])t\(\"[^\"]+\"", "t(", code)
        words = [text for text in re.findall(r"\"([^\"]*)\"", code) if re.search(r"[A-Z]|\w ", text)]
        fonts = {"Source Serif Pro", "Libertinus Serif", "Source Sans Pro", "DejaVu Sans Mono"}
        assert set(words) <= fonts | {"Probe"}, file.name


def test_a_text_without_a_sign_in_the_fonts_still_prints() -> None:
    class Other(Marked):
        def gettext(self, message: str) -> str:
            return super().gettext(message) + "日"

    assert packet_pdf(plans.band(), catalog=Other("«", "»")).startswith(b"%PDF-")


def test_templates_are_looked_up_once_a_packet(monkeypatch: pytest.MonkeyPatch) -> None:
    passed: list[dict[str, str]] = []
    monkeypatch.setattr(packet_module, "_typesetter", lambda template, inputs: passed.append(inputs))
    monkeypatch.setattr(packet_module, "_pages", lambda sheets: 1)
    monkeypatch.setattr(packet_module, "_pdf", lambda sheets: b"")
    packet_pdf(plans.band(), catalog=MARKED)
    (inputs,) = [each for each in passed if "words" in each]
    assert inputs["words"].count("«") == len(texts())
