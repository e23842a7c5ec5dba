"""`loomready event`: its text, its JSON and its calendars, on the invented example in demo/event."""

from __future__ import annotations

import json
import re
import shutil
from datetime import datetime
from pathlib import Path

import pytest
from icalendar import Calendar

from loomready import cli, guildfile
from loomready.event.plan_event import EventPlan, plan_event
from loomready.event.work.search import Effort
from loomready.phrases import Phrase
from loomready.problems import BadInput
from loomready.report.event_calendar import write_calendars
from loomready.report.event_json import event_as_json
from loomready.report.event_text import tell_event
from loomready.warp.plan import plan_guild
from tests.event.plans import faults
from tests.packet.reading import pages

DEMO = Path(__file__).parents[2] / "demo" / "event"
QUICK = Effort(lists=40, small=0, middle=0, rounds=3, each=0.1, rota=0.02)
START = datetime(2027, 4, 5, 8)


def planned(now: datetime = START, text: str | None = None, folder: Path | None = None) -> EventPlan:
    path = DEMO / "guild.toml"
    if text is not None and folder is not None:
        shutil.copytree(DEMO / "drafts", folder / "drafts", dirs_exist_ok=True)
        path = folder / "guild.toml"
        path.write_text(text, "utf-8")
    loaded = guildfile.load(path)
    return plan_event(loaded.guild, loaded.drafts, now, effort=QUICK)


@pytest.fixture(scope="module")
def demo() -> EventPlan:
    return planned()


def test_the_example_is_planned_whole(demo):
    assert faults(demo.work, demo.found.plan) == []
    assert demo.left_out == ()
    assert not demo.stopped
    assert [each.cone.key for each in demo.allotment.buy] == ["brick-pound"]
    assert demo.allotment.proved
    drafts = guildfile.load(DEMO / "guild.toml").drafts
    assert not plan_guild(demo.allotment.guild, drafts).stopped
    assert min(session.start for session in demo.sessions) >= START
    assert max(session.end for session in demo.sessions) <= demo.ready_by == datetime(2027, 5, 7, 19)


def test_everybody_comes_only_when_they_said_and_does_what_they_can(demo):
    for each in demo.sessions:
        if "clover" in each.people:
            assert each.start.weekday() in (1, 3)
            assert each.start.hour * 60 + each.start.minute >= 18 * 60 + 30
            assert each.job in ("winding", "beaming")
        if "elm" in each.people:
            assert each.start.day != 14


def test_the_json_has_the_keys_that_scripts_lean_on(demo):
    made = json.loads(json.dumps(event_as_json(demo)))
    assert set(made) == {"allotment", "work", "rota", "kits", "packing", "problems"}
    assert made["allotment"]["warps"][0] == {
        "key": "runner",
        "loom": "folding",
        "reed": "ten-short",
        "heddles_moved": 12,
    }
    assert made["allotment"]["buy"] == [{"yarn": "brick", "shop": "brick-pound", "cones": 1, "cost": 21.5}]
    work = made["work"]
    assert work["left_out"] == work["short"] == []
    assert work["spare_h"] == min(each["spare_h"] for each in work["ready"]) <= work["most_spare_h"]
    assert 0 <= work["in_time"] <= 1
    assert re.fullmatch(r"2027-04-\d\dT\d\d:\d\d", work["sessions"][0]["start"])
    for each in work["ready"]:
        ends = [session["end"] for session in work["sessions"] if session["warp"] == each["warp"]]
        assert max(ends) == each["at"]


def test_the_text_tells_looms_purchases_hours_and_days(demo):
    text = tell_event(demo)
    assert text.startswith("Spring open house: 3 of 3 warps ready by Fri 2027-05-07 19:00\n")
    for part in (
        "Folding loom",
        "Buy 1 cone of",
        "21.50 USD",
        "at the guild's pace",
        "Tue 2027-04-06",
        "Clover",
    ):
        assert part in text
    assert re.search(r"Ready in \d+ of 100 runs", text)


def test_too_few_hours_are_told_with_what_would_help(tmp_path):
    text = (DEMO / "guild.toml").read_text("utf-8")
    made = planned(datetime(2027, 4, 24, 8), text, tmp_path)
    told = tell_event(made)
    assert made.stopped
    assert "STOP: Not ready in time:" in told
    assert re.search(r"[\d.]+ h of \w[\w ]+ are missing before Fri 2027-05-07 19:00\.", told)
    assert re.search(r"- leave out [\w ]+", told)
    assert all(isinstance(problem.message, Phrase) for problem in made.problems)


def without(text: str, *sections: str) -> str:
    """The guild file without the tables of some sections."""
    for name in sections:
        text = re.sub(rf"^\[+{name}\]+\n(?:(?!^\[|^# -).*\n)*", "", text, flags=re.M)
    return text


def test_nobody_and_no_board_are_told_and_not_an_error(tmp_path):
    text = without((DEMO / "guild.toml").read_text("utf-8"), "people", "boards", "classes")
    made = planned(START, text, tmp_path)
    assert made.work.boards == 1
    assert {"nobody-comes", "not-ready"} <= {problem.code for problem in made.problems}
    assert made.found.plan == {}
    assert event_as_json(made)["work"]["in_time"] == 0


def test_a_skill_that_nobody_has_and_weeks_that_are_not_said_are_told(tmp_path):
    text = (DEMO / "guild.toml").read_text("utf-8")
    text = text.replace(" starting 2027-04-10", "").replace('"beaming", ', "").replace('["beaming", ', "[")
    text = text.replace('name = "Bracken"\n', 'name = "Bracken"\ncan = ["winding"]\n')
    text = text.replace('learning = ["threading"]\n', "")
    problems = {each.code: each.message for each in planned(START, text, tmp_path).problems}
    assert problems["nobody-can"].startswith("Nobody can do this: beaming")
    assert "does not say which weeks" in problems["every-other-week"]


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (["--from", "2027-05-09 15:00"], "[event]: is over: its last day ends at 2027-05-09 15:00"),
        (["--from", "2020-01-01 08:00"], "[event]: is more than 800 days after 2020-01-01 08:00"),
        (["--from", "soon"], 'loomready: --from: "soon" is not a date with a time'),
    ],
)
def test_a_date_that_is_past_is_one_clear_line(arguments, line, capsys):
    assert cli.main(["event", str(DEMO / "guild.toml"), *arguments]) == 2
    assert line in capsys.readouterr().err


def test_a_guild_without_an_event_is_told(capsys):
    assert cli.main(["event", str(DEMO.parent / "guild.toml")]) == 2
    assert "[event]: is missing; expected an event with its days" in capsys.readouterr().err


def entries(path: Path) -> dict[str, dict[str, object]]:
    return {
        str(each["uid"]): {name: each.decoded(name) for name in ("dtstart", "dtend", "sequence")}
        | {"status": str(each["status"])}
        for each in Calendar.from_ical(path.read_bytes()).walk("VEVENT")
    }


def test_calendars_have_every_session_once_for_all_and_once_for_each_person(demo, tmp_path):
    write_calendars(demo, tmp_path)
    everybody = entries(tmp_path / "all.ics")
    assert sorted(each["dtstart"] for each in everybody.values()) == sorted(
        each.start for each in (*demo.sessions, *demo.day.turns)
    )
    for person in demo.guild.people:
        own = entries(tmp_path / "people" / f"{person.key}.ics")
        assert sorted((each["dtstart"], each["dtend"]) for each in own.values()) == sorted(
            [(each.start, each.end) for each in demo.sessions if person.key in each.people]
            + [(turn.start, turn.end) for turn in demo.day.turns if turn.person == person.key]
        )


def test_a_new_export_of_the_same_plan_changes_no_byte(demo, tmp_path):
    write_calendars(demo, tmp_path)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*.ics")}
    write_calendars(demo, tmp_path)
    assert {path: path.read_bytes() for path in tmp_path.rglob("*.ics")} == before


def test_a_new_export_moves_and_withdraws_what_a_calendar_holds(demo, tmp_path):
    write_calendars(demo, tmp_path)
    before = entries(tmp_path / "all.ics")
    now = datetime(2027, 4, 12, 8)
    later = planned(now)
    write_calendars(later, tmp_path)
    after = entries(tmp_path / "all.ics")
    assert before.keys() <= after.keys()
    told = [each for each in after.values() if each["status"] == "CONFIRMED"]
    assert sorted(each["dtstart"] for each in told if each["dtstart"] >= now) == sorted(
        each.start for each in (*later.sessions, *later.day.turns)
    )
    assert all(after[uid] == each for uid, each in before.items() if each["dtstart"] < now)  # it is done
    for uid, each in before.items():
        moved = after[uid]["dtstart"] != each["dtstart"] or after[uid]["status"] != each["status"]
        assert after[uid]["sequence"] >= each["sequence"] + moved
    assert any(each["status"] == "CANCELLED" for each in after.values())


def test_a_file_that_is_no_calendar_of_ours_is_never_written_over(demo, tmp_path):
    (tmp_path / "all.ics").write_text("my own notes")
    with pytest.raises(BadInput) as error:
        write_calendars(demo, tmp_path)
    assert "is not a calendar of loomready" in error.value.line()
    assert (tmp_path / "all.ics").read_text() == "my own notes"
    assert not list((tmp_path / "people").glob("*"))


def test_a_plan_of_a_warp_with_several_looms_says_that_the_event_chooses(capsys):
    assert cli.main(["plan", str(DEMO / "guild.toml")]) in (0, 1)
    out = capsys.readouterr().out
    assert "Planned on the first of its looms: loomready event chooses one of Loom at the window" in out
    assert "only one at a time" not in out


def test_people_of_one_name_are_told_apart_and_warps_go_by_their_names(tmp_path):
    text = (DEMO / "guild.toml").read_text("utf-8").replace('name = "Bracken"', 'name = "Clover"')
    text = text.replace('key = "towels"\n', 'key = "towels"\nname = "Brick towels"\n')
    made = planned(START, text, tmp_path)
    told = tell_event(made)
    assert "Clover (bracken)" in told
    assert "Clover (clover)" in told
    assert "Brick towels" in told
    assert "towels" not in told.replace("Brick towels (towels)", "").replace("Brick towels", "")
    write_calendars(made, tmp_path / "calendars")
    everybody = (tmp_path / "calendars" / "all.ics").read_text("utf-8")
    assert "SUMMARY:Brick towels: winding (Clover (" in everybody


def test_hours_in_json_are_without_the_rounding_of_sums(tmp_path):
    text = (
        (DEMO / "guild.toml")
        .read_text("utf-8")
        .replace('pack_time = "15 h"', 'pack_time = "15 h"\nslot = "6 min"')
    )
    written = json.dumps(event_as_json(planned(START, text, tmp_path)))
    assert all(len(number.partition(".")[2]) <= 4 for number in re.findall(r"\d+\.\d+", written))


def test_a_plan_of_other_warps_and_a_file_in_place_of_a_folder_are_one_clear_line(demo, tmp_path, capsys):
    made = event_as_json(demo)
    for each in made["work"]["sessions"]:
        each["warp"] = "else"
    earlier = tmp_path / "plan.json"
    earlier.write_text(json.dumps(made), "utf-8")
    arguments = ["event", str(DEMO / "guild.toml"), "--from", "2027-04-12 08:00"]
    assert cli.main([*arguments, "--told", str(earlier)]) == 2
    assert (
        "plan.json: is the plan of other warps; expected a plan of this guild file" in capsys.readouterr().err
    )
    with pytest.raises(BadInput) as error:
        write_calendars(demo, earlier)
    assert "is no folder" in error.value.line()


def test_the_sheets_are_saved_and_name_everybody(demo, tmp_path):

    from loomready.packet.event_sheets import SHEETS, write_event_sheets

    paths = write_event_sheets(demo, tmp_path / "sheets")
    assert [path.name for path in paths] == [f"{name}.pdf" for name in SHEETS]
    rota, people, kits, packing = (" ".join(pages(path.read_bytes())) for path in paths[2:6])
    assert all(turn.person.capitalize() in rota for turn in demo.day.turns)
    assert "Clover" in people
    assert "cord hook" in kits
    assert "kettle" in packing
    assert all("fire exits" in text for text in (rota, people, kits, packing))


def test_turns_stand_in_the_calendars(demo, tmp_path):
    write_calendars(demo, tmp_path)
    mine = [turn for turn in demo.day.turns if turn.person == "bracken"]
    found = Calendar.from_ical((tmp_path / "people" / "bracken.ics").read_bytes()).walk("VEVENT")
    told = {(each.decoded("dtstart"), str(each["summary"])) for each in found}
    assert (datetime(2027, 5, 8, 11), "teaching Twist a cord") in told
    assert {turn.start for turn in mine} <= {start for start, _ in told}
