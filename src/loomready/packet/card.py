"""The pocket card: one page of A6 with the numbers of a warp, to carry between shelf, board and loom."""

from __future__ import annotations

from loomready.loomside.steps import painting, second_told, sectional
from loomready.loomside.steps.lifting import raised_by_treadles
from loomready.loomside.steps.piece_steps import pieces_told
from loomready.loomside.steps.threading import shaft_totals
from loomready.loomside.steps.treadling_told import treadlings
from loomready.loomside.steps.tying_in import has_bouts
from loomready.loomside.steps.words import span
from loomready.packet.words import Data, Letters
from loomready.phrases import Phrase, joined, listed, phrase, some
from loomready.units import Shown
from loomready.warp.figures import figures, per_dent
from loomready.warp.result import Bout, WarpPlan
from loomready.warp.rigid import reed_words, through

MOST_LINES = 8  # of treadlings that a card has room for
MOST_PIECES = 6
MOST_BANDS = 12


def card(plan: WarpPlan) -> Data:
    letters, show, way = Letters.of(plan), Shown(plan.guild.units), through(plan)
    names = {} if way is None else way.names()
    return {
        "figures": [{"label": figure.label, "value": figure.value} for figure in figures(plan)]
        + [{"label": label, "value": value} for label, value in _more(plan, show)],
        "yarns": [
            {
                **letters.chip(plan, need.yarn.key),
                "needed": listed(
                    (
                        *([some(need.warp_ends, "end")] if need.warp_ends else []),
                        show.yarn_needed(need.warp_m + need.weft_m),
                    )
                ),
            }
            for need in plan.yarns
        ],
        "bouts_head": phrase("Sections") if plan.sections else phrase("Bouts"),
        "bouts": [
            {"number": f"{number}", "ends": _bout_ends(plan, bout)}
            for number, bout in enumerate(plan.bouts, plan.sections.first if plan.sections else 1)
            if has_bouts(plan)
        ],
        "bands": _bands(plan, show),
        "heddles_head": _heddles_head(plan),
        "heddles": [
            {"shaft": names.get(shaft, f"{shaft}"), "count": f"{count:,}"}
            for shaft, count in sorted(shaft_totals(plan).items())
        ],
        "pieces": _pieces(plan),
        "tie_up": [
            {"treadle": f"{treadle}", "shafts": " ".join(map(str, shafts)) or phrase("none")}
            for treadle, shafts in enumerate(raised_by_treadles(plan), start=1)
        ],
        "treadling": _treadling(plan, letters),
    }


def _bout_ends(plan: WarpPlan, bout: Bout) -> Phrase:
    ends = span(*second_told.ends_of(plan, bout))
    if not bout.second:
        return joined("", [ends])
    return phrase("{ends}, second warp", ends=ends)


def _heddles_head(plan: WarpPlan) -> Phrase:
    """What ends are counted by."""
    if plan.loom.kind == "inkle":
        return phrase("Heddled and open ends")
    return phrase("Holes and slots") if plan.loom.is_rigid_heddle else phrase("Heddles by shaft")


def _more(plan: WarpPlan, show: Shown) -> list[tuple[Phrase, str]]:
    """The figures of the reed, and of the weft."""
    more: list[tuple[Phrase, str]] = []
    if plan.sley is not None and through(plan) is None:
        dent = reed_words(plan.loom)[1]
        last = plan.sley.first_dent + plan.sley.dents - 1
        more += [
            (phrase("Reed"), show.dents(plan.sley.reed.dents_per_cm)),
            (phrase("Ends per {dent}", dent=dent), per_dent(plan)),
            (phrase("Dents") if dent == "dent" else phrase("Places"), span(plan.sley.first_dent, last)),
        ]
    more += _other_ways(plan)
    if plan.web.floating:
        more.append((phrase("Floating selvedges"), f"{plan.web.floating}"))
    more.append(
        (phrase("Picks in the cloth"), listed(dict.fromkeys(show.ppi(w.picks_per_cm) for w in plan.wefts)))
    )
    return more


def _other_ways(plan: WarpPlan) -> list[tuple[Phrase, str]]:
    """The figures of a warp wound in sections, or tied on to an old one."""
    more: list[tuple[Phrase, str]] = []
    if plan.sections is not None:
        turned = sectional.turned(plan)
        if turned is not None:
            more.append((phrase("Turns each section"), f"{turned.turns:.1f}"))
        more.append((phrase("Ends on the rack"), f"{plan.sections.at_once:,}"))
    if plan.tied is not None:
        more.append((phrase("Knots to {warp}", warp=plan.tied.old.order.name), f"{plan.tied.knots:,}"))
        if plan.tied.knots:
            first, old = plan.tied.first, plan.tied.first + plan.tied.shift
            more.append((phrase("End {end} to old end", end=first), f"{old:,}"))
    return more


def _bands(plan: WarpPlan, show: Shown) -> list[Data]:
    """The bands of a painted warp from the knots on, as many as a card has room for."""
    bands = painting.stretches(plan)
    told: list[Data] = [
        {
            "number": f"{number}",
            "dye": painting.dye_of(each),
            "from": show.piece(each.from_m),
            "to": show.piece(each.to_m),
        }
        for number, each in enumerate(bands[:MOST_BANDS], 1)
    ]
    if len(bands) > MOST_BANDS:
        rest = phrase("more: see the painting sheet")
        told.append({"number": f"{MOST_BANDS + 1}–{len(bands)}", "dye": rest, "from": "", "to": ""})
    return told


def _pieces(plan: WarpPlan) -> list[Data]:
    told = pieces_told(plan)
    return [
        {
            "name": joined(" ", (piece.name, f"× {piece.count:,}")) if piece.count > 1 else piece.name,
            "steps": [
                {"name": step.name, "length": step.length, "picks": f"{step.picks:,}" if step.picks else ""}
                for step in piece.steps
                if step.length
            ],
        }
        for piece in told[:MOST_PIECES]
    ] + ([{"name": phrase("more: see the weaving sheet"), "steps": []}] if len(told) > MOST_PIECES else [])


def _treadling(plan: WarpPlan, letters: Letters) -> list[Data]:
    """Each list in short; none where they need more room than a card has."""
    made = treadlings(plan, letters.letter)
    if made.lifts or sum(len(each.lines) for each in made.lists) > MOST_LINES:
        return []
    return [
        {
            "label": each.label if len(made.lists) > 1 else "",
            "tabby": each.tabby,
            "lines": [{"picks": span(line.first, line.last), "told": line.told} for line in each.lines],
        }
        for each in made.lists
    ]
