"""What the pages of a photograph show, in words."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from loomready.app.i18n.words import translated
from loomready.app.loomside import photo_kept, photo_overlay
from loomready.app.loomside.photo_task import PhotoResult
from loomready.draft.draft import Bools
from loomready.phrases import phrase
from loomready.slips import at_loom, slip_words
from loomready.slips.as_json import Planned
from loomready.slips.infer import UNSEEN
from loomready.slips.photo.certainty import (
    BEST_ENDS,
    LEAST_PICKS,
    MOST_PICKS,
    PhotoSlip,
    picks_for_photo,
)
from loomready.slips.tied_treadles import to_tie, ways

Shown = dict[str, Any]
_UNCLEAR = 0.25  # of an end's cells


def woven(planned: Planned) -> dict[str, Bools]:
    """Picks that may be woven for a photograph, by the name of the choice; the usual ones first."""
    own = at_loom.own_picks(planned)
    made = {"photo": picks_for_photo(planned), "test": at_loom.picks_apart(planned)}
    if LEAST_PICKS <= len(own) <= MOST_PICKS:
        made["own"] = own
    return {name: lifts for name, lifts in made.items() if len(lifts) >= LEAST_PICKS}


def choosing(planned: Planned) -> Shown:
    """The page on which a photograph is chosen and tapped."""
    ends = len(planned.threading)
    says = {
        "photo": _("%d picks for a photograph"),
        "test": _("the %d test picks of the test weave"),
        "own": _("the draft's own %d lifts, each once"),
    }
    choices = [
        {
            "name": name,
            "says": says[name] % len(lifts),
            "rows": _rows(planned, lifts),
            "to_tie": translated(list(to_tie(planned.tied, at_loom.shafts_of(lifts))))
            if planned.tied
            else [],
        }
        for name, lifts in woven(planned).items()
    ]
    return {
        "ends": ends,
        "choices": choices,
        "last": min(ends, BEST_ENDS),
        "best_ends": BEST_ENDS,
        "wide": ends > BEST_ENDS,
        "corners": [
            (1, _("First end, first pick")),
            (2, _("Last end, first pick")),
            (3, _("First end, last pick")),
            (4, _("Last end, last pick")),
        ],
    }


def _rows(planned: Planned, lifts: Bools) -> list[str]:
    """Each pick: its shafts, after the treadles that are pressed for them where these are tied."""
    picks = at_loom.shafts_of(lifts)
    told = [" ".join(map(str, up)) for up in picks]
    if planned.tied is None:
        return told
    return [
        ngettext(
            "treadle %(treadles)s: shafts %(shafts)s up",
            "treadles %(treadles)s: shafts %(shafts)s up",
            len(way.pressed),
        )
        % {"treadles": " ".join(map(str, way.pressed)), "shafts": up}
        for up, way in zip(told, ways(planned.tied, picks), strict=True)
    ]


def found(made: PhotoResult, picture: str) -> Shown:
    """The page that shows what was read."""
    slips = [_slip(made, place, each, picture) for place, each in enumerate(made.found.slips)]
    unclear = (made.found.cells == UNSEEN).mean(axis=0) > _UNCLEAR
    return {
        "first": made.found.first,
        "last": made.found.last,
        "picks": len(made.lifts),
        "whole": photo_overlay.whole(made, picture),
        "lists": [
            ("found", _("Found"), [each for each in slips if each["certain"]]),
            ("check", _("Check here"), [each for each in slips if not each["certain"]]),
        ],
        "unsure": int((made.found.cells == UNSEEN).sum()),
        "cells": made.found.cells.size,
        "unclear": [
            end for end, is_so in zip(made.found.end.tolist(), unclear, strict=True) if is_so and end
        ],
        "not_read": _not_read(made),
        "kept": made.kept,
        "folder": photo_kept.FOLDER,
        "open": len(made.found.slips) - len(made.answers),
    }


def _not_read(made: PhotoResult) -> str:
    first, last, web = made.found.first, made.found.last, len(made.planned.threading)
    said = []
    if first > 1:
        said.append(f"1–{first - 1}")
    if last < web:
        said.append(f"{last + 1}–{web}")
    return ", ".join(said)


def _slip(made: PhotoResult, place: int, each: PhotoSlip, picture: str) -> Shown:
    where = slip_words.where(each.slip)
    if each.slip.kind in ("skipped", "extra"):
        where = phrase("About end {end}", end=each.slip.end or 0)
    return {
        "place": place,
        "number": place + 1,
        "where": where,
        "what": translated(slip_words.what(each.slip)),
        "odds": _odds(each.slip.odds),
        "certain": each.certain,
        "answer": made.answers.get(place, ""),
        "of_end": each.slip.end is not None,
        "close": photo_overlay.close(made, each.column, picture, _("The ends around it"))
        if each.slip.end is not None
        else "",
    }


def _odds(odds: float) -> str:
    if odds < 3:
        return _("unsure")
    if odds >= 1000:
        return _("over 1,000 to 1")
    return _("%(odds)s to 1") % {"odds": f"{odds:.0f}"}
