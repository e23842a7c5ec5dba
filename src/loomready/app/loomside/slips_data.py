"""The test weave for the browser: what it needs to ask, find and mend without a network."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from loomready.app.i18n.words import READERS
from loomready.app.loomside import project_record, slips_marks
from loomready.app.state.snapshot import Snapshot
from loomready.loomside.steps import threading as threading_job
from loomready.phrases import translated
from loomready.slips import at_loom, job
from loomready.slips.marks import ODDS
from loomready.slips.sentences import SENTENCES, SIGNS, SLIPS
from loomready.slips.tied_treadles import to_tie, ways
from loomready.slips.wrong_lifts import pressed_for
from loomready.units import Shown
from loomready.warp.result import WarpPlan

Data = dict[str, Any]
NAME = slips_marks.NAME


def steps(plan: WarpPlan) -> Data:
    """What the list of jobs needs of it, by the job's name; empty where its page has none."""
    if not job.is_possible(plan) or not job.fits_marks(plan):
        return {}
    return {NAME: {"units": plan.web.ends, "steps": [], "signs": job.signs(plan)}}


def why_none(plan: WarpPlan) -> str:
    """Why the page has no test weave although ends are in heddles; empty where it has one."""
    if not job.is_possible(plan) or job.fits_marks(plan):
        return ""
    return _(
        "This web is too wide for the page of the test weave. The packet has its sheet, and the command "
        "“loomready slips” finds slips in a file of what you see."
    )


def page_data(snapshot: Snapshot, plan: WarpPlan) -> Data:
    """All that the page works with; empty where the list of jobs has no test weave (:func:`steps`)."""
    work = job.job(plan) if steps(plan) else None
    if work is None:
        return {}
    rates, warps = at_loom.learned(plan.loom.key, project_record.results(snapshot))
    planned, shafts = work.planned, work.layout.shafts
    loom = planned.loom
    threaded = planned.threading.tolist()
    return {
        "marks": work.layout.bits,
        "blocks": work.layout.blocks,
        "shafts": shafts,
        "threading": [shafts if shaft < 0 else shaft for shaft in threaded],
        "free": planned.free.astype(int).tolist(),
        "test": work.test,
        "own": work.own,
        "use_own": work.use_own,
        "untold": {name: asdict(job.untold(work, name == "own")) for name in ("test", "own")},
        "lifts": work.lifts,
        "groups": [
            {"first": group.first + 1, "last": group.stop} for group in threading_job.threading(plan).groups
        ],
        "odds": ODDS,
        "pressed": {name: pressed_for(loom.ties, work.picks(name == "own")) for name in ("test", "own")},
        "treadles": {name: _on_treadles(work, name == "own") for name in ("test", "own")},
        "shafts_move_alone": work.shafts_move_alone,
        "spare": loom.spare,
        "yarn": loom.yarn,
        "length": Shown(plan.guild.units).length(plan.longest_m),
        "width_mm": round(plan.width_in_reed_mm),
        "rates": asdict(rates),
        "learned": warps,
        "sentences": {name: READERS.gettext(text) for name, text in {**SENTENCES, **SLIPS, **SIGNS}.items()},
        "weave": ["".join(map(str, row)) for row in planned.lifts.astype(int).tolist()],
        "of_record": slips_marks.of_record(snapshot, plan, work),
        "photo_address": reverse("loomside-slips-photo", args=[plan.order.key]),
        "plan_address": reverse("loomside-slips-plan", args=[plan.order.key]),
        "says": says()
        | (
            {}
            if planned.tied is None
            else {"other_lift": _("This lift is none of the picks. Name one of them.")}
        ),
    }


def _on_treadles(work: job.Job, own: bool) -> Data | None:
    """The treadles of each pick, and what to tie for them first; None: no treadle is tied."""
    tied, picks = work.planned.tied, work.picks(own)
    if tied is None:
        return None
    pressed = [" ".join(map(str, way.pressed)) for way in ways(tied, picks)]
    return {"pressed": pressed, "to_tie": translated(list(to_tie(tied, picks)), READERS)}


def says() -> dict[str, str]:
    """The page's own words."""
    return {
        "picks": _("Weave these picks"),
        "picks_own": _("The draft's own lifts, each once: nothing has to be tied for them."),
        "picks_test": _("Lifts that tell the shafts apart and still weave a cloth."),
        "picks_treadles": _("The draft's own lifts, and what tells the shafts apart that they leave alike."),
        "pick": _("pick"),
        "treadles": _("treadles"),
        "shafts_up": _("shafts up"),
        "use_test": _("Use test picks instead"),
        "use_own": _("Use the draft's own lifts instead"),
        "alone": _("Without weaving: lift each shaft alone"),
        "alone_how": _(
            "Lift one shaft at a time, by hand where no lever or treadle does. Look which ends rise in each "
            "group, counted from its first end."
        ),
        "group": _("ends {a}–{b}"),
        "woven": _("woven, next"),
        "find": _("Look at the cloth"),
        "find_short": _("look at the cloth"),
        "ask": _("Questions"),
        "cells": _("Compare cells"),
        "slips": _("Slips ({n})"),
        "web": _("The planned test weave"),
        "touch": _("The planned test weave. Tap it where the cloth looks different."),
        "where": _("Where does the cloth look wrong?"),
        "looks": _("What do you see there?"),
        "lift": _("Lift shafts {shafts} and no others. Which of these ends rise?"),
        "lift_one": _("Lift shaft {shafts} and no other. Which of these ends rise?"),
        "rise": _("these rise: {ends}"),
        "none": _("none rises"),
        "unseen": _("I can't see that"),
        "likely": _("Most likely so far: {what}"),
        "odds": _("Odds {odds} to 1 against any other slip"),
        "certain": _("practically certain"),
        "by_questions": _("found by questions"),
        "confirmed": _("confirmed by you"),
        "doubtful": _("Doubtful: look again at the ends beside it."),
        "yes": _("Yes, that is it"),
        "no_question": _("No question tells more. Compare the cells."),
        "again": _("Start the questions over"),
        "photo": _("From a photograph (a trial)"),
        "say_it": _("Or say it"),
        "say_help": _(
            "For example: ends 40 to 43 · line 7 in from the right · gap at 30 · end 12 rises with shaft 3"
        ),
        "take": _("Use this"),
        "no_end": _("There is no end {n}; expected ends from 1 to {of}."),
        "no_shaft": _("There is no shaft {n}; expected shafts from 1 to {of}."),
        "not_understood": _(
            '"{text}" is not understood; expected words like "ends 40 to 43", "end 12 rises with shaft 3" or '
            '"line 7 in from the right".'
        ),
        "other_lift": _("This lift is none of the picks. Name one of them, or a single shaft."),
        "words_expected": _('Write words like "ends 40 to 43" or "line 7 in from the right".'),
        "span": _("Ends {a} to {b}"),
        "one_end": _("End {a}"),
        "cells_how": _(
            "Tap each cell that looks different in the cloth. If an end is missing or one too many, compare "
            "the next ends too."
        ),
        "cells_below": _("Below each column: its end, and the shaft that it is planned on."),
        "edge": _("edge"),
        "cell": _("pick {pick}, end {end}: {planned} planned"),
        "warp_up": _("warp on top"),
        "weft_up": _("weft on top"),
        "differs": _("differs"),
        "looked": _("Looked at these ends"),
        "looked_at": _("looked at"),
        "forget": _("Clear these ends"),
        "before": _("Ends before"),
        "after": _("Ends after"),
        "compared": _("{n} of {of} ends compared with the cloth."),
        "nothing_yet": _("Answer the questions or compare the cells first."),
        "none_seen": _("None seen so far."),
        "unexplained": _(
            "{n} cells differ, which no slip explains: they may be misread. Compare the ends beside them, or "
            "weave more picks."
        ),
        "unexplained_one": _(
            "1 cell differs, which no slip explains: it may be misread. Compare the ends beside it, or weave "
            "more picks."
        ),
        "or": _("or {what}"),
        "remove": _("Not a slip: remove"),
        "leave": _("Leave it"),
        "leave_not": _("Mend it after all"),
        "stays": _("stays as it is"),
        "mend": _("Mending"),
        "about": _("About {minutes} min in all."),
        "minutes": _("{minutes} min"),
        "learned": _("Threading and sleying go at the speed of {n} warps recorded."),
        "learned_one": _("Threading and sleying go at the speed of 1 warp recorded."),
        "proved": _("No usual way takes less time."),
        "right_to_left": _("From right to left:"),
        "ways": _("Other ways"),
        "chosen": _("chosen"),
        "choose": _("Choose"),
        "needs_repair": _("repair heddles for shafts {shafts}"),
        "needs_repair_one": _("a repair heddle for shaft {shafts}"),
        "needs_spare": _("spare heddles on shafts {shafts}"),
        "needs_spare_one": _("a spare heddle on shaft {shafts}"),
        "needs_end": _("a weight, and {length} of {yarn}"),
        "all_ticked": _("All is ticked. Weave the picks again to see that it is right."),
        "compare_again": _("Compare the mended warp"),
        "if_left": _("If you leave it"),
        "floats": _("Longest floats as planned: {planned}. If all is left: {left}."),
        "floats_of": _("warp {warp}, weft {weft}"),
        "over": _("over {n}"),
        "endless": _("without end"),
        "around": _("Around end {n}: as planned, and as it is"),
        "plan_it": _("Change the plan to what is on the loom"),
        "plan_needs": _("Change the plan on the guild's page: it needs the network."),
        "right": _("The web is right"),
        "as_meant": _("Go on; leave the rest as it is"),
        "untold": _("These picks do not tell apart shafts {list}."),
        "more": _("These further picks would tell them apart:"),
        "more_one": _("One more pick would tell them apart:"),
        "more_pick": _("lift {shafts}"),
        "end_is": _("End {end} {what}"),
        "ends_are": _("Ends {end}–{next} {what}"),
        "pick_is": _("Pick {pick}: {what}"),
        "heddle_asked": _("Also look for a crowded dent, an empty dent, and a thread round its heddle."),
    }
