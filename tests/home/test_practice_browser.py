"""The page of questions in a browser, from its file: by mouse, finger and keys, on every width."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from page_in_browser import Opened, opened
from playwright.sync_api import Browser, expect

from harmonykit.home.codes import read_code
from harmonykit.home.practice import write_practice
from harmonykit.practice.changes import Change
from harmonykit.practice.theme import Theme

MOST_BYTES = 2_000_000


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("home") / "practice.html"
    path.write_text(write_practice(Theme("Four dominants")), encoding="utf-8")
    return path


def fresh(browser: Browser, file: Path, width: int, scheme: str = "light") -> Opened:
    tab = opened(browser, file, width, scheme)
    tab.page.evaluate("localStorage.clear()")
    again(tab)
    return tab


def again(tab: Opened) -> None:
    """Open the page anew; what it asked for before counts no more."""
    tab.asked.clear()
    tab.page.reload()


def faults(tab: Opened) -> list[tuple[str, str]]:
    response = Axe().run(tab.page).response
    assert len(response["passes"]) > 8
    return [
        (each["id"], each["nodes"][0]["html"])
        for each in response["violations"]
        if each["impact"] not in ("minor", None)
    ]


def test_three_hundred_questions_in_one_small_file(file: Path) -> None:
    assert len(file.read_bytes()) < MOST_BYTES


SIGHTS = [
    (360, "light"),
    pytest.param(768, "dark", marks=pytest.mark.long),
    pytest.param(1024, "light", marks=pytest.mark.long),
    pytest.param(1440, "dark", marks=pytest.mark.long),
]


@pytest.mark.parametrize(("width", "scheme"), SIGHTS)
def test_ten_by_keys_on_any_width_without_a_fault(
    browser: Browser, file: Path, width: int, scheme: str
) -> None:
    """Every other one is missed; axe-core looks at each state; nothing is asked of a network."""
    tab = fresh(browser, file, width, scheme)
    page = tab.page
    looked: set[tuple[str, str]] = set()
    assert faults(tab) == []
    page.keyboard.press("Enter")
    for turn in range(10):
        expect(page.locator("#desk[data-state=asking]")).to_be_visible()
        place = page.evaluate("desk.question.place")
        if ("asked", place) not in looked:
            looked.add(("asked", place))
            assert faults(tab) == [], place
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        page.evaluate(
            "(right) => desk.answer(desk.question.offers.filter((o) => Boolean(o.right) === right)"
            ".slice(0, right ? 99 : 1))",
            turn % 2 == 0,
        )
        said = page.locator(".verdict").inner_text()
        assert said == ("Right" if turn % 2 == 0 else "Not yet")
        if ("told", said) not in looked:
            looked.add(("told", said))
            assert faults(tab) == [], said
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        # The way on is in sight, however long what is said of an answer.
        onward = page.get_by_role("button", name="Next" if turn < 9 else "See your ten", exact=True)
        expect(onward).to_be_in_viewport(ratio=1)
        page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="5 of 10 right")).to_be_visible()
    assert faults(tab) == []
    tab.healthy()
    tab.leave()


MISSED = """(misses) => {
  const told = [];
  for (let turn = 0; turn < 20; turn += 1) {
    if (turn === 10) desk.finish(); // the ten is shown, and the next begins
    desk.ask();
    const missed = turn < 10 && misses.includes(turn);
    const given = desk.question.offers.filter((each) => Boolean(each.right) !== missed);
    const number = desk.number;
    desk.answer(given.slice(0, missed ? 1 : 99));
    told.push([number, document.querySelector("p.note:not(.foot *)")?.textContent ?? ""]);
  }
  return told;
}"""


@pytest.mark.parametrize("misses", [range(10), range(3), range(6, 10), (0, 1, 4, 5, 8)])
def test_what_was_missed_comes_back_when_the_page_says(
    browser: Browser, file: Path, misses: Sequence[int]
) -> None:
    tab = fresh(browser, file, 390)
    asked = tab.page.evaluate(MISSED, list(misses))
    numbers = [number for number, _ in asked]
    for turn, (number, said) in enumerate(asked):
        assert ("comes back" in said) == (turn in misses), turn
        if turn in misses:
            later = numbers.index(number, turn + 1)
            assert later - turn > 3
            assert "in your next ten" not in said or later >= 10
            assert "in your next ten" in said or "after three questions or more" in said
    tab.healthy()
    tab.leave()


def test_a_finger_a_key_and_the_mouse_answer(browser: Browser, file: Path) -> None:
    """The three ways, what is kept when the page is opened again, and the code that is copied."""
    tab = fresh(browser, file, 390)
    page = tab.page
    page.get_by_role("button", name="Begin today’s ten").click()
    expect(page.locator(".offer").first).to_be_focused()
    page.keyboard.press("2")
    expect(page.locator(".verdict")).to_be_visible()
    expect(page.get_by_role("button", name="Next")).to_be_focused()
    page.keyboard.press("Enter")
    assert page.evaluate("desk.question.place") == "clock"
    page.keyboard.press("ArrowRight")
    name = page.evaluate("document.activeElement.getAttribute('aria-label')")
    assert name.startswith("D flat")
    page.keyboard.press(" ")
    expect(page.locator(".verdict")).to_be_visible()
    page.get_by_role("button", name="Next").click()
    page.locator(".offer").nth(1).dispatch_event("click")
    expect(page.locator(".ten li").nth(3)).to_contain_text("to come")
    again(tab)
    expect(page.get_by_role("button", name="Go on")).to_be_focused()
    expect(page.get_by_text("You have answered 3 questions so far.")).to_be_visible()
    # After the day's first ten it goes on too where it was left, and says so.
    page.evaluate("desk.kept.ten.done = Array(13).fill(desk.kept.ten.done[0]); desk.save()")
    again(tab)
    page.get_by_role("button", name="Go on").click()
    expect(page.locator(".where")).to_contain_text("4 of 10")
    again(tab)
    page.get_by_label("Your name").fill("Ada")
    found = read_code(page.locator(".code").inner_text())
    assert (found.student, found.asked) == ("Ada", 3)
    tab.healthy()
    tab.leave()


def test_what_is_heard_is_what_is_asked(browser: Browser, file: Path) -> None:
    """The pitches that reach the sound card are those of the question."""
    tab = fresh(browser, file, 390)
    page = tab.page
    page.evaluate(
        "window.heard = []; const real = sound.play.bind(sound);"
        "sound.play = (...call) => (window.heard.push(call[1]), real(...call)); true"
    )
    page.keyboard.press("Enter")
    wanted = page.evaluate("desk.question.sound.flat()")
    page.keyboard.press("h")
    page.evaluate("sound.wake().then(() => true)")
    assert page.evaluate("window.heard") == wanted
    tab.healthy()
    tab.leave()


def test_where_nothing_is_stored_the_page_says_so_and_the_code_still_works(
    browser: Browser, file: Path
) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } })"
    )
    page.goto(file.as_uri())
    expect(page.get_by_text("Not kept: this browser stores nothing")).to_be_visible()
    page.keyboard.press("Enter")
    page.keyboard.press("1")
    page.get_by_role("button", name="Copy for teacher").click()
    assert read_code(page.locator(".code").inner_text()).asked == 1
    context.close()


def test_a_change_of_shapes_is_practised_at_a_rising_tempo(browser: Browser, file: Path) -> None:
    """By keys, on a clock of the test's own: the loop, how it went, what is kept of it."""
    tab = fresh(browser, file, 360)
    page = tab.page
    page.get_by_role("button", name="Practise a change of shapes").press("Enter")
    page.evaluate(
        "window.at = 0; sound.clock = () => ({ time: window.at, late: 0 });"
        "window.heard = []; const real = sound.play.bind(sound);"
        "sound.play = (...call) => (window.heard.push(call.slice(0, 4)), real(...call)); true"
    )
    play = page.get_by_role("button", name="Play the loop")
    for turn, clean in enumerate((True, True, False)):
        expect(play).to_be_focused()
        tempo = int(page.locator(".tempo b").inner_text())
        assert tempo == (50, 50, 54)[turn]
        page.keyboard.press("Enter")
        expect(page.get_by_role("button", name="Stop")).to_be_visible()
        # In the sixth beat, the second of the first shape; then long after the last.
        page.evaluate("(beat) => { window.at += 0.15 + 5.5 * beat; }", 60 / tempo)
        expect(page.locator(".counted")).to_have_text("C6: 2")
        page.evaluate("window.at += 100")
        told = page.get_by_role("button", name="It was clean" if clean else "Not yet")
        expect(page.get_by_role("button", name="It was clean")).to_be_focused()
        assert faults(tab) == []
        told.press("Enter")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    expect(page.locator(".tempo b")).to_have_text("48")
    expect(page.get_by_text("Best clean tempo 50; last practised today; 5 minutes")).to_be_visible()
    first = [each for each in page.evaluate("window.heard") if each[3] < 99]
    clicks = [midi for kind, midi, *_ in first if kind == "click"]
    tones = [midi for kind, midi, *_ in first if kind == "tone"]
    # Nine bars of clicks, the first of each high; C6 and G7 on g C E A, four beats each, in turn.
    assert clicks == [76, 77, 77, 77] * 9
    assert tones == ([67, 60, 64, 69] * 4 + [67, 62, 65, 71] * 4) * 4
    page.get_by_role("button", name="Back to the questions").click()
    again(tab)
    page.get_by_role("button", name="Practise a change of shapes").click()
    # What was practised comes after what was not.
    expect(page.get_by_text("Not practised yet.")).to_be_visible()
    page.get_by_label("Another change").select_option("C6 to G7: 0-0-0-0 to 0-2-1-2")
    expect(page.locator(".rounds li")).to_have_text(["50, clean", "50, clean", "54, not yet clean"])
    assert read_code(page.evaluate("codeOf(desk.kept, book)")).minutes == 5
    tab.healthy()
    tab.leave()


def test_changes_of_the_same_chords_are_told_apart_by_their_shapes(
    browser: Browser, tmp_path: Path
) -> None:
    """E7 is held low or at the fourth fret before the same Am: two changes to choose from."""
    path = tmp_path / "two.html"
    changes = [Change(shape, "2-0-0-0", "E7", "Am") for shape in ("1-2-0-2", "4-4-4-5")]
    path.write_text(write_practice(Theme("Two changes"), 5, changes), encoding="utf-8")
    tab = fresh(browser, path, 360)
    page = tab.page
    page.get_by_role("button", name="Practise a change of shapes").click()
    expect(page.locator("#change option")).to_have_text(
        ["E7 to Am: 1-2-0-2 to 2-0-0-0", "E7 to Am: 4-4-4-5 to 2-0-0-0"]
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    tab.healthy()
    tab.leave()


def test_the_button_says_what_to_press_and_counts_what_is_pressed(
    browser: Browser, tmp_path: Path
) -> None:
    path = tmp_path / "becomes.html"
    path.write_text(write_practice(Theme("What it becomes", kinds=("becomes",)), 20), "utf-8")
    tab = fresh(browser, path, 390)
    page = tab.page
    page.get_by_role("button", name="Begin today’s ten").click()
    several = "desk.question.offers.filter((o) => o.right).length"
    page.evaluate(
        f"while ({several} < 2) {{ desk.answer([desk.question.offers[0]]); desk.ask(); }}"
    )
    many = page.evaluate(several)
    check, notes = page.locator("button.check"), page.locator("[aria-pressed]")
    expect(check).to_have_text(f"Press {many} notes")
    expect(check).to_be_disabled()
    for pressed in range(1, many + 2):
        notes.nth(pressed).press("Enter")
        more = f"press {many - pressed} more" if pressed < many else "take 1 back"
        expect(check).to_have_text("Check" if pressed == many else f"{pressed} pressed: {more}")
        expect(check).to_be_enabled(enabled=pressed == many)
    tab.leave()


def test_only_what_was_read_is_asked(browser: Browser, tmp_path: Path) -> None:
    path = tmp_path / "all.html"
    path.write_text(write_practice(Theme(), 60), encoding="utf-8")
    tab = fresh(browser, path, 360)
    page = tab.page
    page.get_by_text("What have you read?").click()
    assert faults(tab) == []
    for title in ("00 Start here", "01 Diminished symmetry", "03 Sixth-diminished scale"):
        page.get_by_label(title).uncheck()
    page.get_by_label("10 Find ideas").uncheck()
    page.get_by_label("04 Voice-leading distances").uncheck()
    again(tab)
    page.get_by_text("What have you read?").click()
    expect(page.get_by_label("02 Four dominants")).to_be_checked()
    page.get_by_role("button", name="Begin today’s ten").click()
    kinds = set()
    for _ in range(8):
        kinds.add(page.evaluate("desk.question.kind"))
        page.evaluate("desk.answer(desk.question.offers.filter((o) => o.right)); desk.ask()")
    assert kinds == {"parents", "targets"}
    tab.leave()
