"""The texts of the job pages for the browser, which fills in {n} and the like."""

from __future__ import annotations

from django.utils.translation import gettext as _

from loomready.loomside.steps import sectional
from loomready.units import Shown
from loomready.warp.result import WarpPlan


def of_rigid_heddle() -> dict[str, str]:
    """The words that differ where ends go through holes and slots."""
    return {
        "dents": _("places {a}–{b}"),
        "dent": _("place {a}"),
        "floating": _("floating selvedge, alone in its place"),
    }


def of_sections(plan: WarpPlan) -> dict[str, str]:
    """The words that differ where a warp is wound in sections onto its beam."""
    found = sectional.turned(plan)
    turns = (
        _("wind {length} into this section")
        if found is None
        else _("{turns} turns of the beam, then cut, tape the ends in order and fix them")
    )
    length = Shown(plan.guild.units).length(plan.warp_length_m)
    return {
        "bout_of": _("section {a} of {n}"),
        "bout_end": turns.format(turns=f"{found.turns:.1f}" if found else "", length=length),
        "no_cone": "",
    }


def of_inkle() -> dict[str, str]:
    """The words that differ where a band is wound on its loom."""
    return {
        "bout_of": _("part {a} of {n} of the band"),
        "bout_end": _("tie off the last end at the first peg"),
        "no_tie": _("each end in turn through a heddle or open"),
        "no_cone": "",
    }


def words() -> dict[str, str]:
    return {
        "winding": _("winding"),
        "sleying": _("sleying"),
        "threading": _("threading"),
        "beaming": _("beaming"),
        "tying": _("tying on"),
        "tying-in": _("tying in"),
        "knots_of": _("knots {a}–{b} of {n}"),
        "to_old": _("to old ends {a}–{b}"),
        "no_old": _("no old end: thread and sley these"),
        "test-weave": _("test weave"),
        "weaving": _("weaving"),
        "ready": _("Get ready"),
        "begin": _("Start"),
        "care": _("Safety:"),
        "done_next": _("done, next"),
        "next": _("next"),
        "done_last": _("done (last)"),
        "taken": _("counted out: thread"),
        "tap_again": _("tap twice"),
        "hold_on": _("hold"),
        "then": _("then"),
        "ends_of": _("ends {a}–{b} of {n}"),
        "end_of": _("end {a} of {n}"),
        "turn_of": _("turn {a} of {n}"),
        "tie_of": _("choke tie {a} of {n}"),
        "to_the_end": _("to the end of the warp"),
        "pick_of": _("pick {a} of {n}"),
        "bout_of": _("bout {a} of {n}"),
        "warp_1": _("first warp, {length}"),
        "warp_2": _("second warp, {length}"),
        "group_of": _("group {a} of {n}"),
        "times": _("times"),
        "dents": _("dents {a}–{b}"),
        "dent": _("dent {a}"),
        "ends": _("ends"),
        "end": _("end"),
        "count_tie": _("counting tie after these"),
        "no_tie": _("no tie yet: the raddle space continues"),
        "bout_end": _("end of the bout: tie all four arms of the cross"),
        "cone_now": _("from {cone}"),
        "cone_next": _("next cone: {cone}"),
        "no_cone": _("short of yarn for these ends: resolve this first"),
        "floating": _("floating selvedge, alone in its dent"),
        "no_heddle": _("not threaded"),
        "empty": _("leave empty"),
        "take": _("Count out the heddles"),
        "shaft": _("shaft {n}"),
        "left_on": _("left to thread: do the heddles left on each shaft match?"),
        "round_1": _("first round: tie"),
        "round_2": _("second round: even and close"),
        "knot": _("knot {n} from the middle, to the {side}"),
        "right": _("right"),
        "left": _("left"),
        "sticks": _("{n} sticks in this turn"),
        "one_stick": _("1 stick in this turn"),
        "paper": _("paper or cloth between, as wide as the web"),
        "on_beam": _("{length} on the beam"),
        "untie": _("untie it, comb, wind on to it"),
        "treadle": _("treadle"),
        "treadles": _("treadles"),
        "levers": _("levers up"),
        "shafts": _("shafts up"),
        "heddles": _("heddles up"),
        "no_shed": _("no shed: check the draft"),
        "rise": _("up {list}"),
        "sink": _("down {list}"),
        "as_before": _("as before"),
        "shafts_up": _("shafts up {list}"),
        "of_repeat": _("pick {a} of {n} in the repeat"),
        "woven": _("{length} woven"),
        "border_from": _("closing hem from pick {n}"),
        "border_now": _("closing hem"),
        "hem_now": _("hem"),
        "before_it": _("First: {list}"),
        "after_it": _("Then: {list}"),
        "picks_of_it": _("To weave here: {list}"),
        "weft": _("weft"),
        "finished": _("All of it is done."),
        "finished_ends": _("All {n} ends are done."),
        "finished_picks": _("All {n} picks are woven."),
        "saved": _("saved"),
        "waiting": _("saved here, {n} to send"),
        "offline": _("offline · {n} saved here"),
        "not_taken": _("not received · {n} saved here"),
        "refused": _(
            "The guild's page did not accept the steps (answer {status}). They are saved here; "
            "use more to save them as a file."
        ),
        "refused_403": _(
            "The guild's page accepts no steps from this device: it was disconnected, or it may only view. "
            "They are saved here. Join again, or reload this page."
        ),
        "refused_409": _("Somebody else is changing this now. The steps are saved here and are sent again."),
        "refused_413": _(
            "Too many steps for one message. They are saved here and are sent in smaller parts."
        ),
        "other_guild": _(
            "This page belongs to the guild {mine}, but the guild at this address is {theirs}. The steps are "
            "saved here and are sent when {mine} is open at this address again; or use more to save them "
            "as a file."
        ),
        "rows_refused": _(
            "The guild's page did not accept {n} of your steps: {why}. They are saved here; use more to save "
            "them as a file."
        ),
        "alone": _("saved in this file · {n} to send"),
        "alone_none": _("saved in this file"),
        "nothing_kept": _("this browser saves nothing: leave the page open"),
        "also": _("{n} by others"),
        "left_now": _("{n} left"),
        "wrong_none": _("Nothing from {n} on is marked as done."),
        "again_winding": _(
            "Marked as not done: ends {list}, {n} in all. Unwind them from the last one back to end {a}, "
            "then go on here."
        ),
        "again_threading": _(
            "Marked as not done: ends {list}, {n} in all. Take them out of the heddles from the last one "
            "back to end {a}, then go on here. Ends that are sleyed come out of the reed too."
        ),
        "again_sleying": _(
            "Marked as not done: ends {list}, {n} in all. Pull them out of the reed from the last one back "
            "to end {a}, then go on here."
        ),
        "again_tying-in": _(
            "Marked as not done: knots {list}, {n} in all. Untie them from the last one back to knot {a}, "
            "then go on here."
        ),
        "again_weaving": _(
            "Marked as not done: picks {list}, {n} in all. Take them out from the last one back to pick "
            "{a}, then go on here."
        ),
        "done_already": _("done already"),
        "nothing_to_undo": _("nothing to undo"),
        "undone": _("undone"),
        "plan_changed": _("The plan has changed. This page still shows the old plan."),
        "see_change": _("Show changes"),
        "time_start": _("Time {job}: start"),
        "time_pause": _("Time {job}: pause"),
        "time_runs": _("timing, {time}"),
        "awake": _("The screen stays on while this page is open."),
        "not_awake": _(
            "Over plain http a browser lets no page keep the screen on. Set the display's time-out to its "
            "longest; or open the job saved as a file, which may."
        ),
        "no_speech": _("This browser cannot read aloud."),
        "matches_none": _("No pick matches. Check again, or leave out what you are not sure of."),
        "matches_one": _("You are at pick {n} of {of}. The next is pick {m}."),
        "matches_more": _("{n} places in the repeat match. Tap one more pick, or choose one."),
        "am_here": _("Continue from pick {n}"),
        "last_pick": _("the last pick"),
        "pick_before": _("{n} before it"),
        "up": _("up"),
        "down": _("down"),
        "unknown": _("not checked"),
        "reaches": _("Enough warp: {spare} to spare."),
        "lacks": _("The warp is short {spare}: it ends with pick {n}."),
        "start_border": _("Start the closing border with pick {n}."),
        "to_weave": _("{length} still to weave."),
        "weft_enough": _("{yarn}: {need} needed, {there} on hand: enough."),
        "weft_short": _("{yarn}: {need} needed, {there} on hand: short."),
        "bad_measure": _("Write a plain number, like 12.5."),
        "edited": _(
            "This file was changed after it was saved: its steps may be wrong. Your new steps are saved."
        ),
        "handed": _("A saved file has {n} steps to import."),
        "take_them": _("Import them"),
        "took": _("{n} steps imported."),
        "from_other": _("It was saved by {guild} for the warp {warp}: is it this one?"),
        "otherwise": _(
            "Done under the old plan and different now: {list}. Do these again, or undo the change of plan."
        ),
        "ahead": _("Changed in the plan, not done yet: {list}."),
        "lost": _("Some steps were done under a plan that was not saved; they are saved, but not counted."),
    }
