"""The texts of the editor's script, with placeholders in braces."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy


def words() -> dict[str, str]:
    return {
        "end_on": _("end {end} on shaft {shaft}"),
        "end_off": _("end {end} not threaded"),
        "threaded_here": _("end {end} is on shaft {shaft} already; to take it out, press 0 or Unthread"),
        "unthread": _("Unthread"),
        "clear_treadles": _("Clear treadles"),
        "clear_lifts": _("Clear lifts"),
        "row": _("shaft {row} is at the cursor"),
        "pick_by": _("pick {pick}: treadles {columns}"),
        "pick_by_one": _("pick {pick}: treadle {columns}"),
        "pick_lifts": _("pick {pick} lifts shafts {columns}"),
        "pick_lifts_one": _("pick {pick} lifts shaft {columns}"),
        "pick_empty": _("pick {pick}: no treadle"),
        "pick_lifts_none": _("pick {pick} lifts no shaft"),
        "column_treadle": _("treadle {column} is at the cursor"),
        "column_shaft": _("shaft {column} is at the cursor"),
        "tied": _("treadle {column} and shaft {shaft}: tied"),
        "untied": _("treadle {column} and shaft {shaft}: not tied"),
        "end_color": _("end {end} in color {color}"),
        "pick_color": _("pick {pick} in color {color}"),
        "warp_up": _("end {end}, pick {pick}: warp on top"),
        "weft_up": _("end {end}, pick {pick}: weft on top"),
        "part_threading": _("Threading"),
        "part_side": _("Treadling"),
        "part_side_plan": _("Lift plan"),
        "part_tieup": _("Tie-up"),
        "part_warp": _("Warp colors"),
        "part_weft": _("Weft colors"),
        "part_cloth": _("Cloth"),
        "one_end": _("End {first}"),
        "one_pick": _("Pick {first}"),
        "run_ends": _("Ends {first} to {last}: {count} selected"),
        "run_picks": _("Picks {first} to {last}: {count} selected"),
        "pad_thread": _("Shaft for end {end}; 0 is not threaded"),
        "pad_side": _("Treadle for pick {pick}; 0 is none"),
        "pad_plan": _("Shafts that pick {pick} lifts"),
        "pad_tieup": _("Shafts tied to treadle {column}"),
        "pad_color": _("Color for {what}"),
        "no_number": _("{number} is not possible here; expected {least} to {most}. Nothing changed."),
        "typing": _("typed {number}; more digits?"),
        "copied": _("Copied. Move the cursor and paste."),
        "nothing_copied": _("Nothing is copied yet. Select ends or picks and copy them first."),
        "other_side": _("You copied {what}. Move the cursor to one of them and paste."),
        "ends": _("ends"),
        "picks": _("picks"),
        "how_many": _("Expected a whole number from 1 to {most} for How many."),
        "kept": _("Version {version}, saved"),
        "pending": _("{count} changes, saved as one version when you pause or leave"),
        "pending_one": _("1 change, saved when you pause or leave"),
        "left_over": _("Your last changes here are not saved, and somebody has changed the draft since."),
        "newer": _("Show the newer draft"),
        "repeat": _("Show it and repeat my changes"),
        "discard": _("Discard my changes"),
        "anyway": _("Change this warp too"),
        "waiting": _("Not saved yet: no answer. Trying again."),
        "newer_here": _("Somebody changed this draft; this is the current version."),
        "not_kept": _("Not saved"),
        "undone": _("Undone"),
        "redone": _("Redone"),
        "not_yours": _("Only a keeper can change a draft. Nothing is changed."),
        "no_answer": _("No answer. Reload the page when loomready is running."),
        "reloaded": _("The draft was reloaded."),
        "size": _("{ends} ends, {picks} picks, {shafts} shafts, {side}."),
        "by_treadles": _("{treadles} treadles"),
        "by_plan": _("a lift plan"),
        "shed_rising": _("o: a tied shaft rises."),
        "shed_sinking": _("x: a tied shaft sinks, and the others rise."),
        "shed_plan": _("A lift plan names the shafts that are lifted."),
        "color_n": _("Color {number}"),
        "nothing_changed": _("{why} Nothing changed."),
        "first_treadled": _("Convert to tie-up"),
        "first_plan": _("Convert to lift plan"),
        "selecting": _("Drag to select."),
        "setting": _("Drag to set."),
        "whole": _("The whole cloth"),
        "tie_rising": _("Convert to rising-shed tie-up (same cloth)"),
        "tie_sinking": _("Convert to sinking-shed tie-up (same cloth)"),
        "read_rising": _("Treat tie-up as rising (changes the cloth)"),
        "read_sinking": _("Treat tie-up as sinking (changes the cloth)"),
    } | _refusals()


def _refusals() -> dict[str, str]:
    """Errors, in the engine's words."""
    return {
        "refused_crossings": _("That is too large to edit here."),
        "refused_no_ends": _("There is no end {number}; expected 1 to {most}."),
        "refused_no_picks": _("There is no pick {number}; expected 1 to {most}."),
        "refused_no_shaft": _("There is no shaft {number}; expected 1 to {most}."),
        "refused_no_shaft_or_none": _(
            "There is no shaft {number}; expected 1 to {most}, or 0 for not threaded."
        ),
        "refused_no_treadle": _("There is no treadle {number}; expected 1 to {most}."),
        "refused_no_color": _("There is no color {number}; expected 1 to {most}."),
        "refused_many_ends": _("That makes {count} ends; expected at most {most} in a draft."),
        "refused_many_picks": _("That makes {count} picks; expected at most {most} in a draft."),
        "refused_plan": _("A lift plan has no treadles; expected a draft with a tie-up."),
        "refused_every_ends": _("That is every end; expected to leave at least one."),
        "refused_every_picks": _("That is every pick; expected to leave at least one."),
        "refused_count_shafts": _("{to} shafts is not possible; expected 1 to {most}."),
        "refused_count_treadles": _("{to} treadles is not possible; expected 1 to {most}."),
        "refused_treadled": _("Treadle {treadle} is used in the treadling; delete it there first."),
        "refused_holds": _("Shaft {shaft} has ends; move them to other shafts first."),
        "refused_lifts": _(
            "The lift plan has {count} different lifts, one treadle each; expected at most {most}."
        ),
        "refused_nothing": _("The lift plan lifts nothing; expected at least one lift to tie to a treadle."),
        "refused_feet": _(
            "Pick {pick} uses several treadles, which make another shed when tied the other way; "
            "expected one treadle per pick."
        ),
    }


KEYS = (
    (gettext_lazy("Arrows"), gettext_lazy("go to the next thread, shaft or treadle")),
    (
        gettext_lazy("A number"),
        gettext_lazy("sets the shaft, treadle or color and moves on; 0 is not threaded, or no treadle"),
    ),
    (gettext_lazy("Space"), gettext_lazy("sets or clears what is at the cursor; a threaded end stays")),
    (gettext_lazy("A · Shift A"), gettext_lazy("next part of the draft · the part before")),
    (gettext_lazy("Home · End"), gettext_lazy("first · last thread")),
    (gettext_lazy("Page Up · Page Down"), gettext_lazy("ten threads on · ten back")),
    (gettext_lazy("Shift and arrows"), gettext_lazy("select a run of threads; Escape clears the selection")),
    (gettext_lazy("Ctrl A"), gettext_lazy("select all ends, or all picks")),
    (gettext_lazy("C · V"), gettext_lazy("copy the run · paste before the cursor")),
    (gettext_lazy("X"), gettext_lazy("cut the run: V pastes it elsewhere")),
    (gettext_lazy("Alt and arrows"), gettext_lazy("move the run by one thread")),
    (gettext_lazy("M · Shift M"), gettext_lazy("mirror after it, turning on one thread · on two")),
    (gettext_lazy("R"), gettext_lazy("reverse the run")),
    (gettext_lazy("U · D"), gettext_lazy("slide the run up · down one shaft, as a continuous repeat")),
    (gettext_lazy("P"), gettext_lazy("repeat the run as many times as “How many”")),
    (gettext_lazy("I"), gettext_lazy("insert as many threads as “How many” before the cursor")),
    (gettext_lazy("Delete"), gettext_lazy("delete the run")),
    (gettext_lazy("Ctrl Z · Ctrl Shift Z"), gettext_lazy("undo · redo")),
    (gettext_lazy("Ctrl S"), gettext_lazy("save the changes now, as one version")),
    (gettext_lazy("+ · − · F"), gettext_lazy("larger · smaller · the whole cloth")),
    (gettext_lazy("?"), gettext_lazy("this list")),
)
