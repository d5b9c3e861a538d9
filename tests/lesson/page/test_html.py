"""The page as a file: what stands in it, what cannot, and that nothing breaks out of it."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.page.html import PageParts, write_page
from harmonykit.lesson.plan.model import Lesson

HOSTILE = """<script>alert('1')</script> "q" & ]]> </title></style> {{7*7}} <img src=x onerror=y>"""
MOST_BYTES = 525_000
VOID = {"meta", "br", "hr", "img", "input", "link", "path", "use", "rect", "circle"}


@dataclass
class Found:
    """An element: its name, attributes, and the text in it and its children."""

    name: str
    attributes: dict[str, str | None]
    text: str = ""
    within: tuple[str, ...] = ()


@dataclass
class Reader(HTMLParser):
    """Collects every element of a page."""

    found: list[Found] = field(default_factory=list)
    open: list[Found] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = Found(tag, dict(attrs), within=tuple(each.name for each in self.open))
        self.found.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append(Found(tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID:
            assert self.open and self.open[-1].name == tag, f"</{tag}> closes {self.open[-1:]}"
            self.open.pop()

    def handle_data(self, data: str) -> None:
        for element in self.open:
            element.text += data

    def named(self, *names: str) -> list[Found]:
        return [element for element in self.found if element.name in names]


def read(page: str) -> Reader:
    reader = Reader()
    reader.feed(page)
    reader.close()
    assert not reader.open
    return reader


@pytest.fixture(scope="module")
def shipped(root: Path) -> Lesson:
    return load_lesson(root / "data" / "lessons" / "scale_of_chords.md")


@pytest.fixture(scope="module")
def page(shipped: Lesson) -> str:
    return write_page(shipped)


@pytest.fixture
def written(lesson_path: Path) -> Callable[..., str]:
    """Return a function that writes the small lesson with some of its text replaced."""

    def write(**replaced: str) -> str:
        for file in (lesson_path, lesson_path.parent / "fog.toml"):
            text = file.read_text(encoding="utf-8")
            for old, new in replaced.items():
                text = text.replace(old, new)
            file.write_text(text, encoding="utf-8")
        return write_page(load_lesson(lesson_path))

    return write


def test_a_lesson_of_three_levels_and_thirty_two_bars_is_small(page: str, shipped: Lesson) -> None:
    assert len(shipped.played) == 3 and len(shipped.front.tune.playing) == 32
    assert len(page.encode()) < MOST_BYTES


def test_the_same_bytes_twice(page: str, shipped: Lesson) -> None:
    assert write_page(shipped) == page


def test_language_title_and_headings_in_order(page: str) -> None:
    reader = read(page)
    assert reader.named("html")[0].attributes["lang"] == "en"
    assert reader.named("title")[0].text == "Walks on the scale of chords"
    ranks = [int(h.name[1]) for h in reader.named("h1", "h2", "h3", "h4", "h5", "h6")]
    assert ranks[0] == 1 and ranks.count(1) == 1
    assert all(after <= before + 1 for before, after in zip(ranks, ranks[1:], strict=False))


def test_each_chart_says_which_level_it_is_as_sentences_do(page: str, shipped: Lesson) -> None:
    """Sentences of a lesson count its levels: "Level 2 adds seven chords"."""
    heads = [one.text for one in read(page).named("p") if one.attributes.get("class") == "tune"]
    levels = range(1, len(shipped.played) + 1)
    assert [head.split(" · ")[1] for head in heads] == [f"level {number}" for number in levels]


@pytest.mark.parametrize("language", ["de", "pt-BR"])
def test_the_pages_language_is_the_lessons(written: Callable[..., str], language: str) -> None:
    page = written(**{'group = "Quay"': f'language = "{language}"'})
    assert read(page).named("html")[0].attributes["lang"] == language


def test_the_policy_allows_its_own_script_and_style_alone(page: str) -> None:
    # CSP Level 3, W3C, section 2.3.1: a hash source is the base64 of the element's text hashed.
    reader = read(page)
    metas = [m.attributes for m in reader.named("meta") if "http-equiv" in m.attributes]
    directives = dict(part.split(" ", 1) for part in (metas[0]["content"] or "").split("; "))
    script = [s.text for s in reader.named("script") if "type" not in s.attributes]
    style = [s.text for s in reader.named("style")]
    assert len(script) == len(style) == 1
    assert directives["default-src"] == directives["base-uri"] == directives["form-action"]
    assert directives["default-src"] == "'none'"
    assert directives["script-src"] == f"'{sha256(script[0])}'"
    assert directives["style-src"] == f"'{sha256(style[0])}'"
    assert directives["font-src"] == directives["img-src"] == "data:"
    assert set(directives) == {
        "default-src", "script-src", "style-src", "font-src", "img-src", "base-uri",
        "form-action",
    }  # fmt: skip


def sha256(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def test_nothing_is_fetched_and_nothing_is_styled_or_scripted_in_place(page: str) -> None:
    for element in read(page).found:
        for name, value in element.attributes.items():
            assert name != "style" and not name.startswith("on"), element
            assert name not in ("src", "srcset", "data", "poster", "background"), element
            assert name != "href" or (value or "#").startswith("#"), element
    assert "http://" not in page and "https://" not in page and "@import" not in page
    style = read(page).named("style")[0].text
    assert style.count("url(") == style.count("url(data:font/woff2;base64,") == 5


def test_the_fonts_and_their_licence_are_named(page: str) -> None:
    style = read(page).named("style")[0].text
    named = style.partition("*/")[0]
    for part in ("Harmonykit Sans", "Quay Signs", "SIL Open Font License 1.1", "Adobe", "Google"):
        assert part in named
    assert set(re.findall('@font-face{font-family:"([^"]+)"', style)) == {
        "Harmonykit Sans",
        "Quay Signs",
    }


def test_ids_are_unique_and_every_reference_has_its_id(page: str) -> None:
    reader = read(page)
    ids = Counter(e.attributes["id"] for e in reader.found if "id" in e.attributes)
    assert ids and max(ids.values()) == 1
    used = [e.attributes["href"] for e in reader.named("use") if "href" in e.attributes]
    assert used and {str(reference)[1:] for reference in used} <= set(ids)


def test_every_figure_says_in_words_what_it_states(page: str, shipped: Lesson) -> None:
    reader = read(page)
    for svg in reader.named("svg"):
        hidden = svg.attributes.get("aria-hidden") == "true" or "class" not in svg.attributes
        empty = svg.attributes == {"class": "box"}  # filled while a level is played, and hidden
        assert hidden or empty or svg.attributes.get("role") == "img", svg
        assert hidden or empty or svg.attributes["aria-label"], svg
    labels = {svg.attributes.get("aria-label") for svg in reader.named("svg")}
    drawings = [d for s in shipped.sections for b in s.blocks for d in getattr(b, "drawings", ())]
    assert len(drawings) == 4 and {drawing.alt for drawing in drawings} <= labels


def test_every_chord_of_every_level_stands_in_its_bar(page: str, shipped: Lesson) -> None:
    said = [(cell.text.split()[0].rstrip("/"), inserted) for cell, inserted in cells_of(page)]
    # The form is AABA of four bars: where each A is played alike it stands once, with all of its
    # numbers.
    steps = [step for played in shipped.played for step in played.arrangement.steps]
    assert len(said) < len(steps)
    played, before = [], 0
    for level in music_of(page)["levels"]:
        played += [said[before + place] for place in level["places"]["steps"]]
        before += 1 + max(level["places"]["steps"])
    assert before == len(said)
    assert played == [(s.chord.unicode, s.new) for s in steps if s.chord is not None]
    # By hand: the tune begins D6 | D6 | Em7; at level 2 the walk is D6 C♯°7 | D6, which ends on the
    # tune's own chord in another shape.
    assert said[:3] == [("D6", False), ("D6", False), ("Em7", False)]
    # and its 32 bars have a chord each at level 1.
    assert played[32:35] == [("D6", False), ("C♯°7", True), ("D6", False)]


def cells_of(page: str) -> list[tuple[Found, bool]]:
    """Return the chords of all charts, each with whether it is marked as inserted."""
    classes = [(e, (e.attributes.get("class") or "").split()) for e in read(page).found]
    return [(element, "added" in names) for element, names in classes if "cell" in names]


def music_of(page: str) -> dict[str, Any]:
    found = [s for s in read(page).named("script") if s.attributes.get("id") == "music"]
    value: dict[str, Any] = json.loads(found[0].text)
    return value


def test_the_page_plays_the_very_events_of_each_level(page: str, shipped: Lesson) -> None:
    music = music_of(page)
    # Ukulele g C E A with the high g: MIDI 67 60 64 69 (scientific pitch, C4 = 60).
    assert music["strings"] == [67, 60, 64, 69]
    assert len(music["levels"]) == len(shipped.played)
    for level, played in zip(music["levels"], shipped.played, strict=True):
        counted = played.performance.count_in_seconds
        # What counts in is made by the page.
        events = [event for event in played.performance.events if event.onset > counted - 0.03]
        every = [event for bar in level["events"] for event in bar]
        # Bass and melody are in the list too: who plays along may let them in.
        mine = [e for e in every if e[4] != "bass" and (e[4] != "tone" or e[3] is not None)]
        assert len(mine) == len(events) > 500 and len(mine) < len(every)
        for given, event in zip(mine, events, strict=True):
            assert given[:2] == pytest.approx([event.onset, event.length], abs=1e-5)
            string = given[3] if event.kind == "click" else event.string
            assert given[2:] == [event.midi, string, event.kind, event.velocity]
        assert level["bars"] == pytest.approx([start for _, start in played.performance.bars])
        assert len(level["steps"]) == len(played.arrangement.steps)


def test_the_next_chord_is_ready_a_beat_before_it_sounds(page: str) -> None:
    # 84 quarter notes a minute in 4/4: a bar lasts 2.857 seconds, so that one is counted in.
    level, beat = music_of(page)["levels"][0], 60 / 84
    wanted = [[4 * beat, 3 * beat, 0], [8 * beat, 7 * beat, 1], [12 * beat, 11 * beat, 2]]
    assert all(
        found == pytest.approx(each, abs=1e-5)
        for found, each in zip(level["steps"], wanted, strict=False)
    )


def test_figures_tables_and_prose_can_be_heard(page: str) -> None:
    heard = [e.attributes.get("data-frets") for e in read(page).named("button")]
    # By hand: each string one note further in D E F♯ G A B♭ B C♯, up to the twelfth fret.
    row = "2-2-2-2 3-4-3-4 4-6-5-5 6-7-6-7 7-9-7-9 9-10-9-10 11-11-10-12"
    assert set(row.split()) <= set(heard)
    climbing = [frets for frets in heard if frets and frets.count(" ") > 1]
    # The neck is heard all the way up, a staff and the cube shape by shape.
    assert row in climbing and len(climbing) == 3


def test_each_mark_of_the_key_stands_by_its_own_word(page: str) -> None:
    """By eye: the colour of each mark beside ink and paper."""
    accents = {"third": "third", "sixth or seventh": "seventh", "root": "", "fifth": ""}
    key = page.partition('<ul class="key"')[2].partition("</ul>")[0]
    items = [item for item in key.split("<li>")[1:]]
    assert len(items) >= 4
    for item in items:
        word = item.rpartition("</svg>")[2].removesuffix("</li>").strip().removesuffix("</li>")
        colours = set(re.findall(r"var\(--(\w+)\)", item)) - {"ink", "paper"}
        assert "".join(colours) == accents.get(word, "")


def test_the_key_lists_only_the_marks_that_are_used(page: str, written: Callable[..., str]) -> None:
    words = [item.text.strip() for item in read(page).named("li") if item.within[-1:] == ("ul",)]
    # By hand: the clock has D6 and rings for C♯°7, the neck small dots; the cube has no marks.  In
    # the charts a barre stays from D6 to D7, and fingers slide on the way up the scale.
    seen = ["root", "third", "fifth", "sixth or seventh", "earlier note", "passing note"]
    fingers = ["finger that stays", "finger that slides"]
    assert [word.removeprefix("1").strip() for word in words] == [*seen, *fingers]


@pytest.mark.parametrize("field", ["A small lesson", "Leading", "Quay", "Four Bars of Fog"])
def test_hostile_names_stay_words(written: Callable[..., str], field: str) -> None:
    hostile = json.dumps(HOSTILE)[1:-1]
    page = written(**{field: hostile})
    reader = read(page)
    assert HOSTILE in "".join(element.text for element in reader.named("body", "title"))
    assert len(reader.named("script")) == 2 and len(reader.named("style")) == 1
    assert not reader.named("img") and len(reader.named("title")) == 1
    assert music_of(page)["levels"]


def test_hostile_names_of_sections_stay_words(written: Callable[..., str]) -> None:
    hostile = json.dumps(HOSTILE)[1:-1]
    two = '|\n"""\n\n[[sections]]\nname = "B"\nchanges = """\n| Eb6 D7 | Gm6 |'
    page = written(**{'name = "A"': f'name = "{hostile}"', "| Eb6 D7 | Gm6 |": two})
    reader = read(page)
    # The name stands in the chart and among what can be played round and round.
    assert f"{HOSTILE}, bars 1 and 2" in [option.text for option in reader.named("option")]
    assert HOSTILE in "".join(b.text for b in reader.named("b"))
    assert len(reader.named("script")) == 2 and not reader.named("img")


@pytest.mark.parametrize("slow", ["0.5", "0.85"])
def test_slow_is_as_slow_as_the_lesson_says(written: Callable[..., str], slow: str) -> None:
    page = written(**{"[[levels]]": f"[sound]\nslow = {slow}\nclick = false\n\n[[levels]]"})
    options = [(e.text, e.attributes["value"]) for e in read(page).named("option")]
    assert ("slow", f"{float(slow) * 100:.0f}") in options
    inputs = [e.attributes for e in read(page).named("input")]
    boxes = [(i["value"], "checked" in i) for i in inputs if i["type"] == "checkbox"]
    assert boxes == [("strum", True), ("click", False), ("bass", False), ("percussion", True)]


def test_what_is_held_is_said(written: Callable[..., str]) -> None:
    held = read(written(**{"Eb6 D7 | Gm6 |": "Eb6 D7 {fermata} | Gm6 |"}))
    signs = [e for e in held.named("svg") if e.attributes.get("class") == "hold"]
    assert [sign.attributes.get("aria-label") for sign in signs] == ["held"]
    ids = {e.attributes["id"] for e in held.found if "id" in e.attributes}
    assert {str(use.attributes["href"])[1:] for use in held.named("use") if use.attributes} <= ids


def test_html_and_images_in_the_text_stay_words(written: Callable[..., str]) -> None:
    text = "<b onclick='x'>bold</b> ![a map](https://example.org/a.png) [x](javascript:alert(1))"
    reader = read(written(**{'{{ four_dominants("Ddim7") }}': text}))
    assert not reader.named("img") and not [a for a in reader.named("a")]
    assert "<b onclick='x'>bold</b> a map" in reader.named("main")[0].text


def test_what_to_watch_is_markdown_too(written: Callable[..., str]) -> None:
    page = written(**{"tempo = 120": 'tempo = 120\nwatch = "Hold *still* & <listen> to 2-3-2-3."'})
    reader = read(page)
    assert [stress.text for stress in reader.named("em")] == ["still"]
    (watch,) = [e for e in reader.found if e.attributes.get("class") == "watch"]
    assert watch.text.strip() == "Hold still & <listen> to 2-3-2-3."


def test_a_long_last_column_goes_under_its_row_on_a_phone(page: str) -> None:
    tables = {t.text.strip()[:5]: t.attributes.get("class") for t in read(page).named("table")}
    # The reason of a walk is a short line; the scale and the comparison are a few figures.
    assert tables == {"D maj": None, "BarsC": None, "Level": "many"}


@pytest.mark.parametrize("paper, size", [("a4", "size:a4"), ("letter", "size:letter")])
def test_the_paper_is_the_lessons(written: Callable[..., str], paper: str, size: str) -> None:
    page = written(**{'instrument = "ukulele"': f'instrument = "ukulele"\npaper = "{paper}"'})
    assert f"@page{{{size};" in page


def test_silence_is_shown_and_can_be_followed(written: Callable[..., str]) -> None:
    page = written(**{"| Gm6 | Bb7 |": "| N.C. | Bb7 |"})
    cell, inserted = cells_of(page)[0]
    assert cell.text.strip() == "N.C.///" and not inserted


def test_sections_set_one_by_one_are_those_of_the_whole_page(lesson_path: Path) -> None:
    """What a page is made of can be set anew alone: names of classes and shapes do not change."""
    lesson = load_lesson(lesson_path)
    whole = write_page(lesson)
    parts = PageParts(lesson)
    empty = parts.page(lesson, ())
    # 3-3-3-3 and 2-2-2-3 need a barre, which is said outside of the sections.
    assert re.findall(r"<h2>(.*?)</h2>", str(empty)) == ["Take care"]
    assert lesson.front.title in str(empty)
    set_alone = [
        str(empty.section(parts.section(each.title, each.blocks))) for each in lesson.sections
    ]
    assert len(set_alone) > 1 and all(html in whole for html in set_alone)
    stored = [str(empty.symbol(shape, body)).strip() for shape, body in parts.figures.symbols]
    assert stored and all(html in whole for html in stored)
    assert parts.styles.css and str(parts.page(lesson, (), theme="x{y:z}")).count("x{y:z}") == 1
