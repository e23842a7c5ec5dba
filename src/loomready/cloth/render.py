"""One picture as a file: which drawing, which format, and a cell that suits when none is asked for."""

from __future__ import annotations

from loomready.cloth.diagram import Shaft1, draft_png, draft_svg
from loomready.cloth.picture import cloth_png
from loomready.cloth.vector import cloth_svg
from loomready.draft.draft import Draft
from loomready.model.guild import Side
from loomready.phrases import ENGLISH, Catalog, phrase
from loomready.problems import BadInput

_SUITS_PX = 2400  # a picture about this large is seen whole and read near


def render(
    draft: Draft,
    *,
    kind: str,
    cloth: bool = False,
    cell: int | None = None,
    end_1: Side = "right",
    shaft_1: Shaft1 = "front",
    catalog: Catalog = ENGLISH,
) -> bytes:
    """The draft with its drawdown, or the ``cloth`` in its colors, as a whole PNG or SVG file.

    :param kind: "png" or "svg"
    :param cell: pixels a thread; None for one that suits the draft's size
    :param catalog: the language of its words
    :raises BadInput: nothing to picture, or no such cell or kind; :raises Impossible: too large a picture
    """
    if kind not in ("png", "svg"):
        raise BadInput(phrase("a picture of kind {kind}; expected png or svg", kind=kind))
    size = suitable_cell(draft, cloth) if cell is None else cell
    if cloth:
        if kind == "png":
            return cloth_png(draft, size, end_1=end_1)
        return cloth_svg(draft, size, end_1=end_1, catalog=catalog).encode()
    if kind == "png":
        return draft_png(draft, size, end_1=end_1, shaft_1=shaft_1, catalog=catalog)
    return draft_svg(draft, size, end_1=end_1, shaft_1=shaft_1, catalog=catalog).encode()


def suitable_cell(draft: Draft, cloth: bool) -> int:
    """The largest cell up to 16 (cloth: 12) that keeps the longer side near 2400 pixels."""
    if cloth:
        threads = max(draft.ends, draft.picks, 1)
        return max(1, min(12, _SUITS_PX // threads))
    beside = draft.shafts if draft.treadles is None else draft.treadles
    threads = max(draft.ends + beside, draft.picks + draft.shafts, 1)
    return max(1, min(16, _SUITS_PX // threads))
