"""The packet of a warp as one PDF: tagged, PDF/UA-1, the same bytes for the same plan."""

from __future__ import annotations

import functools
import importlib.util
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from loomready import files
from loomready.catalogs import catalog_in
from loomready.packet.apart import packets_apart
from loomready.packet.card import card
from loomready.packet.data import frame, packet_data, packet_pictures
from loomready.packet.options import SMALL, SMALLER, USUAL, Options
from loomready.packet.printable import BOX, fit
from loomready.packet.template_words import TEMPLATES, texts
from loomready.packet.words import Data, cut_short
from loomready.phrases import ENGLISH, Catalog, phrase, translated
from loomready.problems import BadInput
from loomready.warp.result import GuildPlan, WarpPlan

if TYPE_CHECKING:
    from typst import Compiler

_SMALL_WARP = 1000  # ends up to which a packet may be brought to two sheets
_NEARLY_SMALL = 6  # pages
_STRIPES = 600  # letters of the warp's stripes in words, at most
_LOOK_PPI = 66.0  # of a page to look at: enough to read its headings and see what is on it
_BOXES = phrase("{sign} stands for a sign that the fonts of this packet do not have.", sign=BOX)
_FONT_PACKAGES = ("font_source_sans_pro", "font_source_serif_pro")


def packet_pdf(
    plan: WarpPlan,
    options: Options = USUAL,
    *,
    version: int | None = None,
    catalog: Catalog = ENGLISH,
    language: str = "en-US",
) -> bytes:
    """All sheets of a warp, from project and winding to weaving, finishing and cautions.

    Foreign texts are data, never markup; signs that no
    font of the packet has are printed as boxes, and the first sheet says so.

    :param version: of the draft, where somebody counts them: stands on the first sheet
    :param catalog: for the words of the sheets
    :param language: the catalog's language, which the PDF declares: "de", "pt-BR"
    """
    return _pdf(_laid_out(plan, options, version, catalog, language))


def packet_pages(
    plan: WarpPlan,
    options: Options = USUAL,
    *,
    version: int | None = None,
    catalog: Catalog = ENGLISH,
    language: str = "en-US",
) -> list[bytes]:
    """The pages of :func:`packet_pdf` as PNG pictures, to look at before they are printed."""
    made = _laid_out(plan, options, version, catalog, language).compile(format="png", ppi=_LOOK_PPI)
    return [made] if isinstance(made, bytes) else list(made or ())


def _laid_out(
    plan: WarpPlan, options: Options, version: int | None, catalog: Catalog, language: str
) -> Compiler:
    """The sheets, laid out."""
    if options.card:
        return _card(plan, options, catalog, language)
    data = packet_data(plan, options)
    if version is not None:
        title = data["project"]["title"]
        data["project"]["title"] = (
            phrase("Draft {title}, version {version}", title=title, version=version)
            if title
            else phrase("Draft, version {version}", version=version)
        )
    placed, pictures = packet_pictures(plan, _InFonts(catalog), options)
    data["pictures"] = placed
    data = translated(data, catalog)
    data["project"]["stripes"] = cut_short(data["project"]["stripes"], _STRIPES)
    data["frame"] |= _language(language)
    shown = fit(data, in_fonts)
    if _boxed(shown) > _boxed(data):
        shown["frame"]["boxes"] = fit(translated(_BOXES, catalog), in_fonts)
    words = fit({text: catalog.gettext(text) for text in texts()}, in_fonts)
    if not options.large and plan.web.ends <= _SMALL_WARP:
        return _on_two_sheets(shown, words, pictures)
    return _typesetter("main.typ", _inputs(shown, words, pictures))


def _card(plan: WarpPlan, options: Options, catalog: Catalog, language: str) -> Compiler:
    made = {"frame": frame(plan, options), "card": card(plan)}
    data = translated(made, catalog)
    data["frame"] |= _language(language)
    words = fit({text: catalog.gettext(text) for text in texts()}, in_fonts)
    return _typesetter("card.typ", _inputs(fit(data, in_fonts), words, {}))


def sheets_pdf(
    template: str, made: Data, catalog: Catalog, language: str, pictures: dict[str, str] | None = None
) -> bytes:
    """Other sheets than those of a warp, from a template and the words and numbers that it lays out.

    :param pictures: as SVG, by the names that the template asks for
    """
    data = translated(made, catalog)
    data["frame"] |= _language(language)
    words = fit({text: catalog.gettext(text) for text in texts()}, in_fonts)
    return _pdf(_typesetter(template, _inputs(fit(data, in_fonts), words, pictures or {})))


def _on_two_sheets(shown: Data, words: dict[str, str], pictures: dict[str, str]) -> Compiler:
    """The sheets in letters of the usual size, or a little smaller where that brings a small packet to two
    sheets of paper: the largest that do."""

    def in_size(scale: float) -> Compiler:
        frame = shown["frame"] | {"scale": scale}
        return _typesetter("main.typ", _inputs(shown | {"frame": frame}, words, pictures))

    usual = in_size(1.0)
    if not SMALL < _pages(usual) <= _NEARLY_SMALL:
        return usual
    smallest = in_size(SMALLER[-1])  # first: where even this does not help, nothing else is tried
    if _pages(smallest) > SMALL:
        return usual
    return next((tried for tried in map(in_size, SMALLER[:-1]) if _pages(tried) <= SMALL), smallest)


class _InFonts:
    """A catalog whose texts the packet's fonts can show."""

    def __init__(self, catalog: Catalog) -> None:
        self._catalog = catalog

    def gettext(self, message: str, /) -> str:
        return str(fit(self._catalog.gettext(message), in_fonts))

    def ngettext(self, singular: str, plural: str, count: int, /) -> str:
        return str(fit(self._catalog.ngettext(singular, plural, count), in_fonts))


def _language(code: str) -> Data:
    """A language as the typesetter takes it: "pt-BR" is Portuguese of the region Brazil."""
    language, _, region = code.partition("-")
    return {"language": language.lower(), "region": region.upper() if len(region) == 2 else None}


def write_packets(
    plan: GuildPlan, folder: Path, options: Options = USUAL, *, language: str = "en-US"
) -> tuple[Path, ...]:
    """Writes ``KEY.pdf`` for each warp into the folder, or ``KEY-card.pdf`` for pocket cards; each whole or
    not at all. The folder is made if need be.

    All packets are laid out before the first is written; several of them in processes of their own.

    :param language: of their words, as a tag: "de", "pt-BR"
    :raises BadInput: the folder or a file cannot be written
    """
    if len(plan.warps) == 1:
        pdfs = [packet_pdf(plan.warps[0], options, catalog=catalog_in(language), language=language)]
    else:
        pdfs = packets_apart(plan.warps, options, language=language)
    made = [(folder / name_of(warp, options), pdf) for warp, pdf in zip(plan.warps, pdfs, strict=True)]
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(
            phrase("cannot be made: {reason}", reason=error.strerror or f"{error}"), file=str(folder)
        ) from error
    for path, pdf in made:
        files.write_whole(path, pdf)
    return tuple(path for path, _ in made)


def name_of(plan: WarpPlan, options: Options) -> str:
    """The file's name."""
    return f"{plan.order.key}-card.pdf" if options.card else f"{plan.order.key}.pdf"


@functools.cache
def in_fonts(sign: str) -> bool:
    """Whether a font of the packet has the sign: typst itself is asked, with the same fonts."""
    import typst

    try:
        _pdf(_typesetter("probe.typ", {"sign": f"a{sign}"}))
    except typst.TypstError:
        return False
    return True


def _boxed(data: Any) -> int:
    return json.dumps(data, ensure_ascii=False).count(BOX)


def _inputs(data: Data, words: dict[str, str], pictures: dict[str, str]) -> dict[str, str]:
    told = (("data", data), ("words", words))
    made = {name: json.dumps(value, ensure_ascii=False, separators=(",", ":")) for name, value in told}
    return made | pictures


def _typesetter(template: str, inputs: dict[str, str]) -> Compiler:
    """One for each set of inputs: what it has laid out to count pages is not laid out again for the PDF."""
    import typst  # 20 MB: only when a packet is printed

    return typst.Compiler(
        TEMPLATES / template,
        root=TEMPLATES,
        font_paths=typst.Fonts(include_system_fonts=False, font_paths=_fonts()),
        sys_inputs=inputs,
    )


def _pages(sheets: Compiler) -> int:
    """How many pages the sheets need, as they reckon it themselves."""
    return int(json.loads(sheets.query("<pages>", field="value", one=True)))


def _pdf(sheets: Compiler) -> bytes:
    made = sheets.compile(format="pdf", pdf_standards="ua-1", timestamp=0)
    if not isinstance(made, bytes):
        raise TypeError("typst gave no single PDF")
    return made


@functools.cache
def _fonts() -> list[Path]:
    """Folders of the packaged fonts."""
    found = []
    for package in _FONT_PACKAGES:
        spec = importlib.util.find_spec(package)
        if spec is None or spec.origin is None:
            raise BadInput(
                phrase(
                    "the font package {package} is not installed; install loomready with its dependencies",
                    package=package,
                )
            )
        found.append(Path(spec.origin).parent / "files")
    return found
