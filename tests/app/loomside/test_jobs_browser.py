"""At the loom in a phone's browser, by visible labels: steps, two phones, no network, a saved file."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from loomready.app.models import Fact
from loomready.app.progress.warp_progress import step_of
from loomready.app.state.snapshot import current_snapshot
from loomready.loomside.log.facts import stretches
from tests.app.access import violations
from tests.app.conftest import PATIENCE_MS, fresh
from tests.chromium import OPTIONS, path_of

pytestmark = pytest.mark.django_db(transaction=True)
PHONE = {"width": 360, "height": 740}


@pytest.fixture
def phone(demo: None, chromium: Browser, live_server: object) -> Iterator[Page]:
    yield from fresh(chromium, str(live_server), 360)


def done_next(page: Page, times: int = 1) -> None:
    go = page.get_by_role("button", name=re.compile("^(done|Start|counted out)"))
    count = page.locator(".where")
    for number in range(times):
        before = count.text_content() or ""
        if number:
            page.keyboard.press("PageDown")
        else:
            page.wait_for_timeout(170)  # a second press sooner is taken for a bounce
            go.click()
        expect(count).not_to_have_text(before)


def wait_saved(page: Page) -> None:
    expect(page.get_by_text("saved", exact=True)).to_be_visible()


def done_of(warp: str, job: str) -> list[tuple[int, int]]:
    """What is done by the facts that the server has."""
    from loomready.app.state import facts
    from loomready.loomside.log.facts import state

    kept = facts.of_job(warp, job)
    assert len({fact.plan for fact in kept}) <= 1
    return stretches(state(kept, 5000, kept[0].plan)) if kept else []


def test_a_bout_is_wound_sleyed_and_taken_back(phone: Page) -> None:
    phone.goto("/beside")
    phone.get_by_role("link", name="winding towels").click()
    expect(phone.get_by_text("Lay the guide string")).to_be_visible()
    done_next(phone, 2)
    expect(phone.get_by_text("ends 12–23 of 475")).to_be_visible()
    done_next(phone)
    phone.get_by_role("button", name="undo").click()
    expect(phone.get_by_text("ends 12–23 of 475")).to_be_visible()
    wait_saved(phone)
    assert done_of("towels", "winding") == [(1, 11)]
    phone.get_by_role("button", name="back").click()
    expect(phone.get_by_text("done already")).to_be_visible()
    phone.get_by_role("button", name="mark as not done").click()
    wait_saved(phone)
    assert done_of("towels", "winding") == []


def test_keys_and_a_foot_pedal_go_on_and_back(phone: Page) -> None:
    phone.goto("/beside/towels/weaving")
    expect(phone.get_by_role("button", name="Start")).to_be_visible()
    for key in ("PageDown", "Space", "ArrowRight", "Enter", "ArrowDown"):
        phone.keyboard.press(key)
    expect(phone.get_by_text("pick 5 of 2,046")).to_be_visible()
    phone.keyboard.press("PageUp")
    expect(phone.get_by_text("pick 4 of 2,046")).to_be_visible()
    phone.keyboard.press("ArrowRight")
    phone.keyboard.press("u")
    expect(phone.get_by_text("pick 4 of 2,046")).to_be_visible()
    wait_saved(phone)
    assert done_of("towels", "weaving") == [(1, 3)]


def test_two_phones_thread_one_warp_from_both_ends(
    demo: None, chromium: Browser, live_server: object
) -> None:
    right, left = (next(pages) for pages in (fresh(chromium, str(live_server), 360) for _ in range(2)))
    for page in (right, left):
        page.goto("/beside/scarves/threading")
    left.get_by_role("button", name="more").click()
    left.get_by_label("Start at").select_option("the left, at the last end")
    left.get_by_role("button", name="close").click()
    done_next(right, 4)
    done_next(left, 4)
    for page in (right, left):
        wait_saved(page)
        expect(page.get_by_text("by others")).to_be_visible()
    ends = current_snapshot().plan_of("scarves")
    assert ends is not None
    assert ends.plan is not None
    done = done_of("scarves", "threading")
    assert done[0][0] == 1
    assert done[-1][1] == ends.plan.web.ends
    for page in (right, left):
        page.context.close()


def test_twenty_picks_are_woven_and_the_place_is_found_again(phone: Page) -> None:
    phone.goto("/beside/towels/weaving")
    done_next(phone, 21)
    wait_saved(phone)
    assert done_of("towels", "weaving") == [(1, 20)]
    job = current_snapshot().plan_of("towels")
    assert job is not None
    phone.get_by_role("button", name="more").click()
    expect(phone.get_by_text("Enough warp:")).to_be_visible()
    phone.get_by_label("Woven so far, tension off").fill("3")
    expect(phone.get_by_text("The warp is short")).to_be_visible()
    from loomready.loomside.steps.weaving import weaving

    assert job.plan is not None
    lifts = weaving(job.plan).stretches[0].repeat
    rows = phone.locator(".seen-row")
    for row, pick in enumerate((15, 14, 13)):  # the last pick was the 15th, and so on backward
        if row:
            phone.get_by_role("button", name="One more pick").click()
        for shaft in range(1, 17):
            times = 1 if shaft in lifts[pick - 1].up else 2
            for _ in range(times):
                rows.nth(row).get_by_role("button", name=re.compile(f"^shaft {shaft}:")).click()
    expect(phone.get_by_text("3 places in the repeat match")).to_be_visible()
    phone.get_by_role("button", name="Continue from pick 16").click()
    expect(phone.get_by_text("pick 16 of 2,046")).to_be_visible()
    wait_saved(phone)
    assert done_of("towels", "weaving") == [(1, 15)]


def test_weft_left_is_asked_and_told_in_ounces_in_us_units(phone: Page) -> None:
    phone.goto("/beside/towels/weaving")
    phone.get_by_role("button", name="more").click()
    field = phone.locator("#reach-weft input").first
    expect(phone.locator("#reach-weft label").first).to_have_text(re.compile(", oz$"))
    field.fill("0.5")
    reached = phone.locator("#reached")
    expect(reached).to_contain_text("0.5 oz on hand: short.")
    needed = re.search(r"([0-9.]+) oz needed", reached.inner_text())
    assert needed is not None
    field.fill(needed[1])
    expect(reached).to_contain_text(f"{needed[1]} oz on hand: enough.")


def test_the_place_is_found_by_how_the_ends_at_the_edge_lie(phone: Page) -> None:
    from loomready.loomside.steps.threading import shaft_of_end
    from loomready.loomside.steps.weaving import weaving

    planned = current_snapshot().plan_of("scarves")
    assert planned is not None
    assert planned.plan is not None
    shafts = shaft_of_end(planned.plan).tolist()
    repeat = weaving(planned.plan).stretches[0].repeat
    phone.goto("/beside/scarves/weaving")
    done_next(phone, 3)
    phone.get_by_role("button", name="more").click()
    phone.get_by_label("What you see").select_option("the ends beside end 1")
    last = repeat[1]
    for end in (2, 3, 4, 5):  # end 1 is a floating selvedge
        button = phone.get_by_role("button", name=re.compile(f"^end {end}:"))
        wanted = "up" if shafts[end - 1] in last.up else "down"
        while wanted not in (button.get_attribute("aria-label") or ""):
            button.click()
    alike = sum(pick.up == last.up for pick in repeat)
    told = f"{alike} places in the repeat" if alike > 1 else "You are at pick 2"
    expect(phone.get_by_text(told)).to_be_visible()
    expect(phone.get_by_role("button", name="Continue from pick 3", exact=True)).to_be_visible()


def test_without_a_network_nothing_is_lost_and_nothing_counts_twice(
    demo: None, chromium: Browser, live_server: object, tmp_path: Path
) -> None:
    def kept(context: BrowserContext) -> Page:
        context.set_default_timeout(PATIENCE_MS)
        return context.pages[0] if context.pages else context.new_page()

    def launch() -> BrowserContext:
        return chromium.browser_type.launch_persistent_context(
            tmp_path / "phone",
            executable_path=path_of(chromium.browser_type),
            args=OPTIONS,
            base_url=str(live_server),
            viewport={"width": 360, "height": 740},
        )

    context = launch()
    page = kept(context)
    page.goto("/beside/towels/sleying")
    done_next(page, 2)
    wait_saved(page)
    context.set_offline(True)
    done_next(page, 3)
    expect(page.get_by_text("offline · 3 saved here")).to_be_visible()
    assert done_of("towels", "sleying") == [(1, 1)]
    context.close()

    context = launch()  # the browser comes back, with the network
    page = kept(context)
    page.goto("/beside/towels/sleying")
    wait_saved(page)
    first = done_of("towels", "sleying")
    assert first[0][0] == 1
    assert first[0][1] > 24
    count = Fact.objects.count()
    assert count == 4
    page.reload()
    wait_saved(page)
    assert Fact.objects.count() == count
    context.close()


def test_a_saved_file_works_from_a_stick_and_hands_its_steps_in(phone: Page, tmp_path: Path) -> None:
    phone.goto("/beside/towels/tying")
    done_next(phone, 2)
    wait_saved(phone)
    phone.get_by_role("button", name="more").click()
    with phone.expect_download() as download:
        phone.get_by_role("link", name="Save this job as a file").click()
    stick = tmp_path / "towels.html"
    download.value.save_as(stick)
    alone = phone.context.browser.new_context(viewport=PHONE, offline=True)  # type: ignore[union-attr, arg-type]
    file = alone.new_page()
    wrong: list[str] = []
    file.on("pageerror", lambda error: wrong.append(str(error)))
    file.on("console", lambda line: wrong.append(line.text) if line.type == "error" else None)
    file.goto(stick.as_uri())
    expect(file.get_by_text("knot 1 from the middle, to the left")).to_be_visible()
    done_next(file, 2)
    expect(file.get_by_text("saved in this file · 2 to send")).to_be_visible()
    file.reload()
    expect(file.get_by_text("saved in this file · 2 to send")).to_be_visible()
    assert wrong == []
    file.get_by_role("button", name="more").click()
    with file.expect_download() as done:
        file.get_by_role("button", name="Save steps done as a file").click()
    address = file.get_by_role("link", name="Send to the guild's page")
    address.evaluate("(link) => link.addEventListener('click', (event) => event.preventDefault())")
    address.click()
    online = str(address.get_attribute("href"))
    parcel = tmp_path / "done.json"
    done.value.save_as(parcel)
    alone.close()

    before = Fact.objects.count()
    phone.get_by_label("Import steps done on another device").set_input_files(parcel)
    phone.get_by_role("button", name="Import", exact=True).click()
    expect(phone.get_by_text("2 steps imported")).to_be_visible()
    assert Fact.objects.count() == before + 2
    phone.goto(online)
    expect(phone.get_by_text("A saved file has 0 steps to import")).to_be_visible()
    assert Fact.objects.count() == before + 2


def test_an_edited_saved_file_says_so(phone: Page, tmp_path: Path) -> None:
    text = phone.request.get("/beside/towels/tying.html").text()
    stick = tmp_path / "towels.html"
    stick.write_text(text.replace('"number":1}', '"number":7}', 1))
    alone = phone.context.browser.new_context(viewport=PHONE)  # type: ignore[union-attr, arg-type]
    file = alone.new_page()
    file.goto(stick.as_uri())
    expect(file.get_by_text("This file was changed after it was saved")).to_be_visible()
    alone.close()


def test_steps_handed_over_by_address_are_taken_when_she_says_so(phone: Page) -> None:
    phone.goto("/beside/towels/tying")
    data = json.loads(phone.locator("#job-data").text_content() or "")
    row = ["tying", data["jobs"]["tying"]["plan"], 1, 20, 1, 5, "c" * 16]
    parcel = json.dumps({"guild": data["guild"], "warp": "towels", "facts": [row]})
    phone.goto("/beside/towels")
    phone.goto(f"/beside/towels/tying#done={parcel}")
    expect(phone.get_by_text("A saved file has 1 steps to import")).to_be_visible()
    assert Fact.objects.count() == 0
    phone.get_by_role("button", name="Import them").click()
    wait_saved(phone)
    assert done_of("towels", "tying") == [(1, 20)]


def test_a_plan_changed_under_way_is_told(phone: Page) -> None:
    from tests.app.loomside.test_jobs import change_warp

    phone.goto("/beside/towels/threading")
    done_next(phone, 3)
    wait_saved(phone)
    change_warp("towels", selvedge_ends=9)
    expect(phone.get_by_text("The plan has changed")).to_be_visible()
    phone.get_by_role("link", name="Show changes").click()
    expect(phone.get_by_text("Changed in the plan, not done yet")).to_be_visible()


def test_a_hold_or_a_double_tap_goes_on_where_a_tap_does_not(phone: Page) -> None:
    phone.goto("/beside/towels/weaving")
    done_next(phone)
    go = phone.get_by_role("button", name=re.compile("^done, next"))
    for way in ("holding it", "a double tap"):
        phone.get_by_role("button", name="more").click()
        phone.get_by_label("Next step by").select_option(way)
        phone.get_by_role("button", name="close").click()
        place = phone.locator("#count").text_content()
        go.click()
        expect(phone.locator("#count")).to_have_text(place or "")
        phone.wait_for_timeout(600)
        if way == "holding it":
            go.click(delay=600)
        else:
            go.dblclick()
        expect(phone.locator("#count")).not_to_have_text(place or "")


def test_each_step_is_read_aloud_once_it_is_asked_for(phone: Page) -> None:
    phone.add_init_script("window.said = []; speechSynthesis.speak = (told) => said.push(told.text);")
    phone.goto("/beside/scarves/threading")
    done_next(phone, 3)
    assert phone.evaluate("said") == []
    phone.get_by_role("button", name="read aloud").click()
    phone.keyboard.press("PageDown")
    first, second = phone.evaluate("said")
    assert first != second
    assert "Worsted wool, indigo" in first
    phone.get_by_role("button", name="read aloud").click()
    phone.keyboard.press("PageDown")
    assert len(phone.evaluate("said")) == 2


def test_a_finished_job_offers_to_tick_the_step_off(phone: Page) -> None:
    phone.goto("/beside/towels/beaming")
    done_next(phone, 5)
    phone.get_by_role("button", name="Mark this job done today").click()
    expect(phone.get_by_role("heading", name="At the loom")).to_be_visible()
    assert step_of(current_snapshot(), "towels") == "beamed"


@pytest.mark.parametrize(
    ("width", "scheme", "names"),
    [(360, "light", "winding sleying weaving"), (1440, "dark", "threading beaming tying")],
)
def test_no_job_page_has_a_violation(
    demo: None, chromium: Browser, live_server: object, width: int, scheme: str, names: str
) -> None:
    pages = fresh(chromium, str(live_server), width, scheme)
    page = next(pages)
    found = []
    for job in names.split():
        page.goto(f"/beside/scarves/{job}")
        done_next(page, 2)
        found += [f"{job}: {line}" for line in violations(page)]
        page.get_by_role("button", name="more").click()
        found += [f"{job}, more: {line}" for line in violations(page)]
        if page.evaluate("document.documentElement.scrollWidth") > width:
            found.append(f"{job}: wider than the screen")
    for address in ("/beside", "/beside/scarves/count?which=over&ends=2"):
        page.goto(address)
        found += [f"{address}: {line}" for line in violations(page)]
    next(pages, None)
    assert found == []


def test_what_belongs_together_is_marked_under_the_strip_and_a_tap_goes_there(phone: Page) -> None:
    phone.goto("/beside/towels/winding")
    bouts = phone.evaluate("JSON.parse(document.getElementById('job-data').textContent).jobs.winding.bouts")
    drawn = phone.locator(".brackets path")
    expect(drawn).to_have_attribute("d", re.compile(rf"^(M[\d.]+ 0V4H[\d.]+V0){{{len(bouts)}}}$"))
    box = phone.locator("#web").bounding_box()
    assert box is not None
    phone.mouse.click(box["x"] + 4, box["y"] + 10)
    expect(phone.get_by_text(f"bout {len(bouts)} of {len(bouts)}")).to_be_visible()


@pytest.mark.parametrize(
    ("status", "says"),
    [(403, "accepts no steps from this device"), (409, "is changing this now"), (500, "(answer 500)")],
)
def test_a_page_that_is_refused_says_so_and_keeps_the_steps(phone: Page, status: int, says: str) -> None:
    phone.goto("/beside/towels/winding")
    phone.route(
        "**/facts?*",
        lambda route: route.fulfill(status=status) if route.request.method == "POST" else route.continue_(),
    )
    done_next(phone, 2)
    expect(phone.get_by_text("not received · 1 saved here")).to_be_visible()
    expect(phone.get_by_text(says)).to_be_visible()
    expect(phone.get_by_text("offline")).to_have_count(0)
    phone.unroute("**/facts?*")
    phone.reload()
    wait_saved(phone)
    assert done_of("towels", "winding") == [(1, 11)]


def test_too_much_at_once_goes_in_smaller_parts(phone: Page) -> None:
    phone.goto("/beside/towels/weaving")
    sizes: list[int] = []

    def weigh(route: Route) -> None:
        if route.request.method != "POST":
            return route.continue_()
        sizes.append(len(json.loads(route.request.post_data or "")["facts"]))
        return route.fulfill(status=413) if sizes[-1] > 20 else route.continue_()

    phone.context.set_offline(True)
    done_next(phone, 31)
    phone.route("**/facts?*", weigh)
    phone.context.set_offline(False)
    expect(phone.get_by_text("goes in smaller parts")).to_have_count(0)
    expect(phone.get_by_text("saved", exact=True)).to_be_visible()
    assert sizes[0] == 30
    assert done_of("towels", "weaving") == [(1, 30)]


def test_the_path_over_the_board_is_drawn_with_its_length_before_winding_and_at_hand_later(
    phone: Page,
) -> None:
    phone.goto("/beside/cushions/winding")
    step = phone.get_by_role("region", name="This step")
    expect(
        step.get_by_role("img", name=re.compile("Board on the back wall: Start at rail-1"))
    ).to_be_visible()
    expect(step.get_by_text("This path gives")).to_be_visible()
    expect(step.locator("svg .tie.choke").first).to_be_attached()
    expect(step.locator("svg .tie.cross").first).to_be_attached()
    expect(step.get_by_text("Safety:")).to_be_attached()
    done_next(phone, 2)
    expect(phone.get_by_text("Safety:")).to_have_count(0)
    phone.get_by_role("button", name="more").click()
    expect(phone.get_by_role("heading", name="Warping path")).to_be_visible()
    expect(phone.get_by_role("dialog").get_by_text("This path gives")).to_be_visible()


def test_the_time_of_a_job_is_counted_without_a_clock_and_handed_to_the_project_record(phone: Page) -> None:
    phone.clock.install()
    phone.goto("/beside/towels/winding")
    phone.get_by_role("button", name="more").click()
    phone.get_by_role("button", name="Time winding: start").click()
    phone.clock.run_for(65 * 60_000 + 20_000)
    expect(phone.get_by_text("timing, 1:05")).to_be_attached()
    phone.clock.set_system_time("2031-01-01")  # a clock that jumps changes nothing
    phone.get_by_role("button", name="Time winding: pause").click()
    phone.clock.run_for(60 * 60_000)
    expect(phone.get_by_role("dialog").get_by_text("winding 1:05", exact=True)).to_be_visible()
    phone.reload()
    phone.get_by_role("button", name="more").click()
    phone.get_by_role("link", name="Copy to project record").click()
    expect(phone.get_by_label("Winding, hours")).to_have_value("1:05")


_GAPS = """() => {
  const boxes = [...document.querySelectorAll("#card .digit")].map((each) => {
    const range = document.createRange();
    range.selectNodeContents(each);
    return range.getBoundingClientRect();
  }).sort((a, b) => a.top - b.top || a.left - b.left);
  return boxes.slice(1).filter((box, at) => box.top === boxes[at].top && box.left > boxes[at].left)
    .map((box) => box.left - Math.max(...boxes
      .filter((other) => other.top === box.top && other.left < box.left).map((other) => other.right)));
}"""


def test_numbers_of_two_figures_keep_apart(phone: Page) -> None:
    def larger(route: Route) -> None:
        """The same threading, ten shafts further back."""
        answer = route.fetch()

        def further(found: re.Match[str]) -> str:
            return f'"shafts":[{",".join(str(int(each) and int(each) + 10) for each in found[1].split(","))}]'

        route.fulfill(response=answer, body=re.sub(r'"shafts":\[([\d,]+)\]', further, answer.text()))

    phone.route("**/beside/towels/threading", larger)
    phone.goto("/beside/towels/threading")
    done_next(phone, 3)
    expect(phone.locator("#card .digit").first).to_have_text(re.compile(r"^1\d$"))
    gaps = phone.evaluate(_GAPS)
    phone.goto("/beside/towels/weaving")
    done_next(phone)
    for _ in range(8):
        done_next(phone)
        gaps += phone.evaluate(_GAPS)
    assert len(gaps) > 20
    assert min(gaps) >= 3


def test_on_a_small_phone_no_step_is_cut_off(phone: Page) -> None:
    phone.set_viewport_size({"width": 360, "height": 640})
    cut = """() => {
        const [card, page] = ['card', 'beside'].map(id => document.getElementById(id));
        return Math.max(card.scrollHeight - card.clientHeight, card.scrollWidth - card.clientWidth,
            page.scrollHeight - page.clientHeight) > 1;
    }"""
    for job in ("winding", "beaming", "threading", "sleying", "tying", "weaving"):
        phone.goto(f"/beside/scarves/{job}")
        expect(phone.get_by_role("button", name="Start")).to_be_visible()
        for _ in range(6):
            assert not phone.evaluate(cut), (job, phone.locator("#card").inner_text())
            phone.keyboard.press("PageDown")
        assert phone.evaluate("document.documentElement.scrollHeight") <= 640


def test_from_a_wrong_end_on_the_job_is_done_again_with_a_plan(phone: Page) -> None:
    phone.goto("/beside/scarves/threading")
    done_next(phone, 6)
    left = phone.locator("#count")
    before = left.inner_text()
    phone.get_by_role("button", name="more").click()
    phone.get_by_label("Wrong from end").fill("5")
    phone.get_by_role("button", name="Do again from there").click()
    expect(phone.get_by_text("back to end 5, then go on here.")).to_be_visible()
    expect(left).to_contain_text("254 left")
    phone.locator("#again").get_by_role("button", name="Undo").click()
    expect(left).to_have_text(before)
    expect(phone.locator("#again")).to_be_hidden()
