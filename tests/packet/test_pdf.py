"""The PDF itself: accepted as PDF/UA-1, the same bytes each time, safe from names, whole on disk."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

from loomready.packet import apart, packet
from loomready.packet.packet import in_fonts, packet_pdf, write_packets
from loomready.packet.printable import BOX, fit
from loomready.packet.tags import qr_svg, tag_text
from loomready.problems import BadInput
from loomready.warp.plan import plan_guild

from . import plans, reading, typeset_once

ROUGH = 'Two *stars* #panic("x") $y$ <script>alert(1)</script> \\n @label `raw` = head'


def test_the_packet_declares_pdf_ua_and_its_language() -> None:
    document = reading.reader(plans.printed(plans.band))
    metadata = document.xmp_metadata
    assert metadata is not None
    assert b"pdfuaid" in metadata.stream.get_data()
    root = document.trailer["/Root"]
    assert root["/Lang"] == "en-US"
    assert root["/MarkInfo"]["/Marked"]
    assert document.metadata is not None
    assert document.metadata.title == "band: warp packet of Band room"


def test_a_second_run_gives_the_same_bytes() -> None:
    with typeset_once.anew():
        assert packet_pdf(plans.curtain()) == plans.printed(plans.curtain)


def test_another_process_gives_the_same_bytes(tmp_path: Path) -> None:
    program = (
        "import sys; from pathlib import Path; from tests.packet import plans\n"
        "from loomready.packet.packet import packet_pdf\n"
        "Path(sys.argv[1]).write_bytes(packet_pdf(plans.band()))"
    )
    root = Path(__file__).parents[2]
    subprocess.run([sys.executable, "-c", program, str(tmp_path / "a.pdf")], check=True, cwd=root)
    assert (tmp_path / "a.pdf").read_bytes() == plans.printed(plans.band)


def test_paper_follows_the_guilds_units() -> None:
    letter = reading.reader(plans.printed(plans.band)).pages[0].mediabox
    a4 = reading.reader(plans.printed(plans.curtain)).pages[0].mediabox
    assert (round(letter.width), round(letter.height)) == (612, 792)
    assert (round(a4.width), round(a4.height)) == (595, 842)


def test_every_page_shows_where_end_1_and_shaft_1_are() -> None:
    for text in reading.pages(plans.printed(plans.curtain)):
        assert "End 1 at the left" in text
        assert "Shaft 1 at the back" in text
        assert "curtain" in text


def test_names_from_outside_are_printed_and_never_run() -> None:
    text = reading.sheets(packet_pdf(plans.named("Guild", "Yarn", ROUGH)))["Project"]
    assert ROUGH in text.replace("\n", " ")


def test_other_scripts_are_printed_and_unknown_signs_become_boxes_that_are_explained() -> None:
    text = reading.sheets(packet_pdf(plans.named("Room", "Пряжа 日本 🧶", "שלום \u202e\x07 Ω")))["Project"]
    assert "Пряжа" in text
    assert f"{BOX}{BOX} {BOX}" in text
    assert "שלום" in text
    assert "\u202e" not in text
    assert f"{BOX} stands for a sign" in text
    assert "stands for a sign" not in reading.sheets(plans.printed(plans.band))["Project"]


def test_every_kind_of_sign_passes_or_becomes_a_box() -> None:
    signs = "".join(chr(code) for code in range(0, 0x3000, 307)) + "\ud800\U000e0001\uffff"
    shown = fit({"name": [signs]}, in_fonts)["name"][0]
    assert all(
        sign == BOX or sign == " " or in_fonts(sign) or sign in "\u200c\u200d\u200e\u200f" for sign in shown
    )


def test_very_long_names_leave_every_page_standing() -> None:
    plain = reading.reader(plans.printed(plans.band))
    long = reading.reader(packet_pdf(plans.named("G" * 200, "y" * 200, "t" * 200)))
    assert len(long.pages) <= len(plain.pages) + 1


def test_a_stop_is_said_in_words_with_its_remedies() -> None:
    plan = plans.short().warps[0]
    assert plan.stopped
    pdf = reading.sheets(packet_pdf(plan))
    flat = " ".join(pdf["Project"].split())
    assert "This warp can't be dressed as planned" in flat
    for problem in plan.problems:
        assert problem.message in flat
        for remedy in problem.remedies:
            assert remedy.says in flat
    assert "can't be wound from the shelf" in pdf["Winding"]
    assert "short" in pdf["Sley and heddles"]


def test_a_draft_with_more_shafts_than_the_loom_still_prints() -> None:
    loom = plans.BAND.looms[0]
    small = plan_guild(
        plans.replace(plans.BAND, looms=(plans.replace(loom, shafts=2, heddles=(10, 10)),)),
        {"d": plans.TWILL},
    ).warps[0]
    text = reading.sheets(packet_pdf(small))["Sley and heddles"]
    assert "The draft needs 4 shafts and this loom has 2" in " ".join(text.split())


def test_the_qr_code_holds_the_bout_and_the_warp() -> None:
    import segno

    plan = plans.curtain()
    assert tag_text(plan, plan.bouts[2]) == (
        f"loomready bout 3 of {len(plan.bouts)}, warp curtain, "
        f"ends {plan.bouts[2].first_end}-{plan.bouts[2].last_end}"
    )
    text = tag_text(plan, plan.bouts[2])
    code = segno.make_qr(text, error="m")
    assert code.error in ("M", "Q", "H")
    svg = qr_svg(text)
    side = len(code.matrix) + 8
    assert f'width="{side}" height="{side}"' in svg
    assert drawn(svg, side) == [list(row) for row in code.matrix_iter(border=4)]


def drawn(svg: str, side: int) -> list[list[int]]:
    """The modules that the SVG's one stroked path covers."""
    import re

    grid = [[0] * side for _ in range(side)]
    path = re.search(r' d="([^"]+)"', svg)
    assert path is not None
    x = y = 0.0
    for command, numbers in re.findall(r"([Mmh])([^Mmh]+)", path[1]):
        values = [float(number) for number in re.findall(r"-?[\d.]+", numbers)]
        if command == "M":
            x, y = values
        elif command == "m":
            x, y = x + values[0], y + values[1]
        else:
            for column in range(int(x), int(x + values[0])):
                grid[int(y)][column] = 1
            x += values[0]
    return grid


def test_packets_are_written_one_a_warp(tmp_path: Path) -> None:
    written = write_packets(plans.short(), tmp_path / "new" / "folder")
    assert [path.name for path in written] == ["band.pdf"]
    assert written[0].read_bytes().startswith(b"%PDF-")
    assert sorted(path.name for path in written[0].parent.iterdir()) == ["band.pdf"]


def test_several_packets_are_laid_out_in_processes_and_are_the_same_to_the_byte(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    warps = (plans.curtain(), plans.band())
    several = plans.replace(plans.short(), warps=warps)
    monkeypatch.setattr(packet, "packet_pdf", None)  # nothing is laid out here
    written = write_packets(several, tmp_path)
    assert [path.read_bytes() for path in written] == [
        plans.printed(each) for each in (plans.curtain, plans.band)
    ]


def test_the_first_packet_that_fails_is_told_and_nothing_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    refuses = "import sys; print(len(sys.stdin.buffer.read()) and 'no', file=sys.stderr); sys.exit(2)"
    monkeypatch.setattr(apart, "COMMAND", ("-c", refuses))
    tried = []
    real = apart.answer
    monkeypatch.setattr(apart, "answer", lambda *asked, **more: tried.append(asked) or real(*asked, **more))
    with pytest.raises(BadInput, match=r"^no$"):
        write_packets(plans.replace(plans.short(), warps=(plans.band(),) * 40), tmp_path / "new")
    assert len(tried) < 10
    assert not (tmp_path / "new").exists()


def test_a_file_where_the_folder_should_be_is_one_clear_line(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("here")
    with pytest.raises(BadInput, match="cannot be made"):
        write_packets(plans.short(), tmp_path / "taken")
    assert (tmp_path / "taken").read_text() == "here"


def test_typst_and_segno_are_loaded_only_to_print() -> None:
    program = "import sys, loomready.packet.packet; print('typst' in sys.modules, 'segno' in sys.modules)"
    said = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True).stdout
    assert said.split() == ["False", "False"]


@pytest.mark.parametrize("package", ["font_source_sans_pro", "font_source_serif_pro"])
def test_the_fonts_come_with_the_install(package: str) -> None:
    spec = importlib.util.find_spec(package)
    assert spec is not None
    assert spec.origin is not None
    assert list((Path(spec.origin).parent / "files").glob("*.otf"))
