"""An essay as a page has it: the figure, what is told, and what is read where nothing is alive."""

from __future__ import annotations

import base64
import json
import re
from html.parser import HTMLParser

import pytest

import harmonykit as hk
from harmonykit.workbook.essay.page import page_of, written
from harmonykit.workbook.essay.text import essay_names, read_essay

each_essay = pytest.mark.parametrize("name", essay_names())


@each_essay
def test_nothing_shows_the_answer_before_it_is_given(name: str) -> None:
    for section in page_of(read_essay(name)).data["sections"]:
        asked = section["asked"]
        hub = asked["clock"]["looks"]["heading"][1]
        if hub == "?":
            roles = {
                look[0] for side in ("clock", "neck") for look in asked[side]["looks"].values()
            }
            assert roles <= {"note", "was", "off", "none"}
            assert all(section["told"]["hear"][-2][0] != label for label, _ in asked["hear"])
        assert not any(
            "guess" in part for side in ("clock", "neck") for part in asked[side]["looks"]
        )


@each_essay
def test_clock_and_neck_show_the_same_notes_at_the_same_moment(name: str) -> None:
    for section in page_of(read_essay(name)).data["sections"]:
        for moment in (section["asked"], section["told"]):
            marks = ("note", "root", "third", "fifth", "seventh", "tension")
            on = [
                {look[1] for look in moment[side]["looks"].values() if look[0] in marks}
                for side in ("clock", "neck")
            ]
            # A shape may leave a note out, as the rootless ninth does.
            assert on[1] <= on[0] and len(on[0] - on[1]) <= 1


@each_essay
def test_a_guess_stands_where_the_note_is(name: str) -> None:
    """What can be pressed for a choice sounds that note, by the names that the parts bear."""
    for section in page_of(read_essay(name)).data["sections"]:
        for choice in section["choices"]:
            for part in choice["parts"]:
                side = "clock" if part.startswith("pc-") else "neck"
                named = section["asked"][side]["looks"][part][1]
                assert named == "" or named == choice["text"] or side == "clock"


@each_essay
def test_all_that_is_sent_is_json_and_each_button_has_its_sound(name: str) -> None:
    page = page_of(read_essay(name))
    text = json.dumps(page.data)
    assert json.loads(text) == json.loads(json.dumps(page.data))
    assert len(text) < 300_000
    places = {int(place) for place in re.findall(r'data-hear=\\"(\d+)\\"', text)}
    places |= {
        place for s in page.data["sections"] for m in ("asked", "told") for _, place in s[m]["hear"]
    }
    assert places <= set(range(len(page.sounds)))
    assert page.data["sounds"] == [[list(chord) for chord in each] for each in page.sounds]


class Folded(HTMLParser):
    """The text of a page, outside and inside what is folded, and its tags."""

    def __init__(self) -> None:
        super().__init__()
        self.depth, self.tags = 0, set[str]()
        self.text: tuple[list[str], list[str]] = ([], [])

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.add(tag)
        self.depth += tag == "details"

    def handle_endtag(self, tag: str) -> None:
        self.depth -= tag == "details"

    def handle_data(self, data: str) -> None:
        self.text[min(self.depth, 1)].append(data)


@each_essay
def test_where_nothing_is_alive_the_answers_are_folded(name: str) -> None:
    read = Folded()
    read.feed(written(read_essay(name)))
    # What a notebook that is not trusted may show.
    assert read.tags <= {"h2", "p", "b", "em", "code", "img", "details", "summary"}
    # Dark ink needs its own light paper in a dark notebook.
    pictures = re.findall(r"base64,([^\"]+)", written(read_essay(name)))
    assert pictures
    for picture in pictures:
        assert b' style="background:#ffffff"' in base64.b64decode(picture)[:120]
    outside, inside = ("".join(each) for each in read.text)
    for section in read_essay(name).sections:
        assert section.reason in inside and section.reason not in outside
        assert section.heading in outside


def test_the_panel_judges_as_the_exercises_do() -> None:
    panel = hk.workbook.EssayPanel("four_parents")
    right, wrong = panel.answer(1, "D"), panel.answer(1, "A")
    assert (right.score, wrong.score) == (1.0, 0.0)
    assert wrong.said.startswith(right.said) and "C♯, E and G" in wrong.said
    # By the name that is printed, and by the part that is pressed.
    assert panel.answer(1, "F♯") == panel.answer(1, "F#") == panel.answer(1, "pc-6")
    with pytest.raises(hk.HarmonyError, match="not one of the choices"):
        panel.answer(1, "E")
    with pytest.raises(hk.HarmonyError, match="unknown question 11"):
        panel.answer(11, "E")
    bundle = panel._repr_mimebundle_()
    assert {"image/svg+xml", "text/html", "text/plain"} <= set(bundle)
    assert panel.hear(0).seconds > 1
    with pytest.raises(hk.HarmonyError, match="unknown sound"):
        panel.hear(-1)
