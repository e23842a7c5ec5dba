"""Test picks as somebody asks for them: the fewest, so many, or those of a cloth; on tied treadles the test
weave sheet's."""

from __future__ import annotations

import numpy as np

from loomready.phrases import phrase
from loomready.problems import Impossible
from loomready.slips import at_loom
from loomready.slips import test_picks as picking
from loomready.slips.as_json import Planned
from loomready.slips.test_picks import TestPicks


def asked_picks(planned: Planned, floats: int | None, count: int | None) -> TestPicks:
    """The picks.

    :param floats: the longest float of their cloth, the picks repeated; None: they need not weave a cloth
    :param count: so many picks; None: as few as will do
    :raises Impossible: no picks are so
    """
    if planned.tied is not None:
        return _on_treadles(planned, floats, count)
    threading, shafts = planned.threading[~planned.free], planned.lifts.shape[1]
    if count is not None:
        return picking.well_apart(
            threading, shafts, count, picking.USUAL_FLOATS if floats is None else floats
        )
    if floats is not None:
        return picking.fewest_woven(threading, shafts, floats)
    return picking.fewest(threading, shafts)


def _on_treadles(planned: Planned, floats: int | None, count: int | None) -> TestPicks:
    """The picks of the test weave sheet, repeated up to so many: the treadles make few others."""
    lifts = at_loom.sheet_picks(planned)
    if count is not None and count < len(lifts):
        raise Impossible(
            phrase(
                "{picks} picks of these treadles do not tell all shafts apart; expected {least} or more",
                picks=count,
                least=len(lifts),
            )
        )
    picks = np.resize(lifts, (len(lifts) if count is None else count, lifts.shape[1]))
    made = picking.told(picks, planned.threading[~planned.free])
    longest = (made.longest_warp_float, made.longest_weft_float)
    if floats is not None and any(each is None or each > floats for each in longest):
        raise Impossible(
            phrase(
                "the picks that these treadles make weave no cloth with floats of at most {most}; expected "
                "picks without --floats",
                most=floats,
            )
        )
    return made
