"""Tags for the chains, to cut out: a big number, and a QR code that says the same as plain text."""

from __future__ import annotations

import functools
import io

from loomready.loomside.steps.doubled_told import bout_ends_told
from loomready.loomside.steps.second_told import ends_of, length_of_bout, which
from loomready.loomside.steps.words import span
from loomready.packet.words import Data, Letters, cut_short
from loomready.phrases import ENGLISH, Catalog, Phrase, phrase, translated
from loomready.units import Shown
from loomready.warp.result import Bout, WarpPlan


def tag_text(plan: WarpPlan, bout: Bout) -> Phrase:
    """What the tag's QR code holds."""
    first, last = ends_of(plan, bout)
    if plan.second is not None:
        return phrase(
            "loomready bout {number} of {bouts}, warp {warp}, {which}, ends {first}-{last}",
            number=bout.number,
            bouts=len(plan.bouts),
            warp=plan.order.name,
            which=which(bout),
            first=first,
            last=last,
        )
    return phrase(
        "loomready bout {number} of {bouts}, warp {warp}, ends {first}-{last}",
        number=bout.number,
        bouts=len(plan.bouts),
        warp=plan.order.name,
        first=first,
        last=last,
    )


@functools.lru_cache(maxsize=512)
def qr_svg(text: str) -> str:
    """A QR code as SVG: error correction M, a quiet zone of four modules."""
    import segno  # only when a packet is printed

    out = io.BytesIO()
    segno.make_qr(text, error="m").save(out, kind="svg", border=4, scale=1, xmldecl=False, nl=False)
    return out.getvalue().decode()


def tags(plan: WarpPlan, letters: Letters) -> list[Data]:
    show = Shown(plan.guild.units)
    made = []
    for bout in plan.bouts:
        keys = tuple(dict.fromkeys(key for key, _ in bout.colors))
        text = tag_text(plan, bout)
        made.append(
            {
                "number": f"{bout.number}",
                "of": phrase("of {bouts}", bouts=len(plan.bouts))
                if plan.second is None
                else phrase("of {bouts}, {which}", bouts=len(plan.bouts), which=which(bout)),
                "ends": span(*ends_of(plan, bout)),
                "count": bout_ends_told(plan, bout),
                "colors": [letters.chip(plan, key) for key in keys],
                "length": show.length(length_of_bout(plan, bout)),
                "text": text,
                "loom": cut_short(plan.loom.name, 40),
            }
        )
    return made


def tag_pictures(plan: WarpPlan, catalog: Catalog = ENGLISH) -> list[str]:
    """The QR codes of :func:`tags`, in the same order."""
    return [qr_svg(translated(tag_text(plan, bout), catalog)) for bout in plan.bouts]
