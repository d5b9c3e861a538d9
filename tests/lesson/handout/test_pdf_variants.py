"""Handouts for other hands, eyes and copiers, and several lessons as one book."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from sheets import (
    LEAST_PT,
    assert_well_set,
    level_starts,
    outline,
    read,
    shipped_sheet,
    text_of,
    texts_of,
)

from harmonykit.draw.shapes.box import draw_box
from harmonykit.draw.shapes.looks import BoxLook
from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.voicing import Voicing
from harmonykit.lesson.build import load_lesson
from harmonykit.lesson.draft.writing import write_draft
from harmonykit.lesson.handout.chart import ROW_MM, Chart
from harmonykit.lesson.handout.figures import Figures
from harmonykit.lesson.handout.pdf import (
    Variant,
    book_data,
    gather_book,
    gather_handout,
    handout_data,
)
from harmonykit.lesson.handout.typeset import Unset
from harmonykit.lesson.plan.model import Lesson
from harmonykit.paths import find_data

TABLET_PT = 10.5  # nine points on the glass of a tablet 157 mm wide
LARGE_PT = 16.0  # the least size of large print (UKAAF, Creating clear print and large print, 2012)


@pytest.fixture(scope="module")
def stiff() -> Lesson:
    return load_lesson(find_data("lessons", "stiff_dominant"))


@pytest.fixture(scope="module")
def waltz() -> Lesson:
    return load_lesson(find_data("lessons", "four_dominants"))


def test_answers_have_a_page_of_their_own() -> None:
    pages = [text_of(page) for page in shipped_sheet("stiff_dominant").pages]
    assert pages[-1].startswith("Answers ") and "E7 4-4-4-5 A" in pages[-1]
    assert all("4-4-4-5" not in page for page in pages[:-1])
    assert not any("Check your answers" in page for page in pages)


@pytest.mark.parametrize("name", ["", pytest.param("four_dominants", marks=pytest.mark.long)])
def test_answers_upside_down(lesson_path: Path, name: str) -> None:
    lesson = load_lesson(find_data("lessons", name) if name else lesson_path)
    own, under = (
        texts_of(gather_handout(lesson).pdf()),
        texts_of(gather_handout(lesson, Variant(answers="upside down")).pdf()),
    )
    # No page of answers; what shared that page with them may need one.
    assert len(own) - 1 <= len(under) <= len(own)
    assert under[-1].endswith(f"page {len(under)} of {len(under)}")
    assert sum("Check your answers: " in page for page in under) == 1
    assert not any(page.startswith("Answers") for page in under)


def test_an_unknown_place_for_answers(stiff: Lesson) -> None:
    with pytest.raises(HarmonyError, match="'nowhere' is not a place for answers"):
        gather_handout(stiff, Variant(answers="nowhere")).pdf()
    with pytest.raises(HarmonyError, match="'sepia' is not a palette"):
        gather_handout(stiff, Variant("sepia")).pdf()


@pytest.mark.parametrize(
    "name",
    [
        "stiff_dominant",
        "one_voice_moves",
        pytest.param("four_dominants", marks=pytest.mark.long),
        pytest.param("scale_of_chords", marks=pytest.mark.long),
        pytest.param("three_fall_one_rises", marks=pytest.mark.long),
        pytest.param("two_strings_are_enough", marks=pytest.mark.long),
    ],
)
def test_large_print(name: str) -> None:
    """Planned anew, a page a section: no more than twice the pages."""
    reader, small = shipped_sheet(name, large=True), shipped_sheet(name)
    assert_well_set(reader, LARGE_PT)
    assert len(reader.pages) <= 2 * len(small.pages)
    # The idea and each level but the last, behind which the rest stands: twice two pages.
    texts = [text_of(page) for page in reader.pages]
    starts = level_starts(texts)
    assert all(b - a <= 4 for a, b in pairwise([0, *starts]))
    # Nothing is left out.
    for heading in ("The four dominants of", "Your turn", "What moves", "as fret numbers"):
        found = [heading in " ".join(text_of(p) for p in one.pages) for one in (reader, small)]
        assert found[0] or not found[1], heading
    # What is watched for has no page of its own: it stands with the shapes, or under the chart.
    tails = [text_of(page) for page in reader.pages[1:]]
    assert not any(re.match(r"[^.]*, continued What to watch", page) for page in tails)


@pytest.mark.long
@pytest.mark.parametrize(
    ("tune", "instrument"),
    [("lamp_for_the_late_boat", "ukulele"), ("lantern_ferry", "guitar"),
     ("slack_water_waltz", "guitar")],
)  # fmt: skip
def test_large_print_of_a_first_draft(tmp_path: Path, tune: str, instrument: str) -> None:
    """Three verses of words, and six strings: no more than twice the pages either."""
    path = write_draft(tmp_path / "draft.md", tune, tune, instrument)
    lesson = load_lesson(path)
    plain, large = (read(gather_handout(lesson, Variant(large=big)).pdf()) for big in (False, True))
    assert_well_set(large, LARGE_PT)
    assert len(large.pages) <= 2 * len(plain.pages)


def test_shapes_of_large_print_are_never_small(stiff: Lesson) -> None:
    """Who sees a shape first sees it 18 mm wide from string to string, with its notes; what is
    known may stand without them, and is no smaller."""
    data = handout_data(stiff, Variant(large=True))
    wide, alts = [], []
    for level in data["lessons"][0]["levels"]:
        for one in level["shapes"]["boxes"]:
            new, known = (data["figures"][one["boxes"][size]] for size in ("plain", "known"))
            wide += [box["wide"] - 2 * box["left"] for box in (new, known)]
            alts.append((new["alt"], known["alt"]))
            assert new["svg"].count("<text") > known["svg"].count("<text")
    assert wide and min(wide) >= 18 - 0.01
    assert all(new == known for new, known in alts)


def test_boxes_of_large_print_are_larger_beside_the_chart_and_over_it(stiff: Lesson) -> None:
    small, large = (box_widths(stiff, grown) for grown in (False, True))
    assert large == [pytest.approx(1.4 * wide) for wide in small]
    drawn = []
    for grown in (False, True):
        figures = Figures(large=grown)
        rows = Chart(stiff.played[0].arrangement, figures).data()["rows"]
        table = figures.table()
        drawn.append([table[one["box"]]["wide"] for row in rows for one in row["boxes"]])
    assert drawn[0] and drawn[1] == [pytest.approx(1.6 * wide) for wide in drawn[0]]
    assert max(row["end"] for row in rows) * 1.6 <= ROW_MM + 0.001


def test_five_boxes_of_large_print_share_a_row(stiff: Lesson) -> None:
    """A ukulele's strings are 3 times 7 mm apart, boxes 12 mm; 3 times 6 mm and 7 mm where known.

    Four steps of 33 mm and the last box, 40.2 mm with its sides, fit into 174; a fifth step would
    not.  Of the others it is five steps of 25 mm and 32.4 mm.
    """
    levels = handout_data(stiff, Variant(large=True))["lessons"][0]["levels"]
    assert {tuple(level["shapes"]["columns"].values()) for level in levels} == {(5, 6)}


def box_widths(lesson: Lesson, large: bool) -> list[float]:
    """Return how wide the strings of the first page's boxes lie."""
    data = handout_data(lesson, Variant(large=large))
    boxes = [data["figures"][one["box"]] for one in data["lessons"][0]["lowered"]["outcomes"]]
    return [box["wide"] - 2 * box["left"] for box in boxes]


def test_left_handed(stiff: Lesson) -> None:
    """Every box and the neck are mirrored, and the sheet says how figures still run."""
    data = handout_data(stiff, Variant(left_handed=True))
    shapes = [f["alt"] for f in data["figures"] if "fret" in f["alt"] and "string" in f["alt"]]
    others = ("From", "open strings from left", "an empty chord diagram")
    boxes = [alt for alt in shapes if not any(words in alt for words in others)]
    assert boxes and all("left hand" in alt for alt in boxes)
    shape = Voicing.parse("3434", stiff.front.instrument)
    mirrored = draw_box(shape, name="C♯°7", palette="print", look=BoxLook(left_handed=True))
    drawn = {re.sub('font-size="[^"]*"', "", figure["svg"]) for figure in data["figures"]}
    assert re.sub('font-size="[^"]*"', "", mirrored.svg) in drawn
    reader = read(gather_handout(stiff, Variant(left_handed=True)).pdf())
    assert_well_set(reader)
    assert "diagrams for left-handed players; tuning and frets still run g C E A" in text_of(
        reader.pages[0]
    )


def test_under_a_mirrored_neck_its_shapes_run_as_the_neck_does() -> None:
    """D6 2-2-2-2 is the lowest: first from the left on a plain sheet, last on a mirrored one."""
    order = "2-2-2-2 3-4-3-4 4-6-5-5 6-7-6-7 7-9-7-9 9-10-9-10 11-11-10-12".split()
    walks = load_lesson(find_data("lessons", "scale_of_chords"))
    plain, turned = (
        text_of(read(gather_handout(walks, Variant(left_handed=left)).pdf()).pages[0])
        for left in (False, True)
    )
    assert "in order " + " ".join(order) in plain
    assert "right to left " + " ".join(reversed(order)) in turned


def test_a_tablet_shows_one_screen_a_page() -> None:
    """Pages of 3:4 with larger letters; a tune in four rows of four bars is one of them."""
    reader = shipped_sheet("one_voice_moves", tablet=True)
    assert_well_set(reader, TABLET_PT)
    sizes = {(round(p.mediabox.width), round(p.mediabox.height)) for p in reader.pages}
    ((wide, high),) = sizes
    assert wide * 4 == pytest.approx(high * 3, abs=4)
    pages = [text_of(page) for page in reader.pages]
    (tune,) = (page for page in pages if "Level 1 · As written" in page and "strum" in page)
    assert "D.C. al Fine" in tune and "1 · 9 · 25" in tune
    with pytest.raises(HarmonyError, match="a tablet in large print"):
        Variant(large=True, tablet=True)


def test_a_tablet_that_lies_has_screens_of_4_to_3() -> None:
    lesson = load_lesson(find_data("lessons", "one_voice_moves"))
    reader = read(gather_handout(lesson, Variant.named("tablet landscape")).pdf())
    assert_well_set(reader, TABLET_PT)
    sizes = {(round(p.mediabox.width), round(p.mediabox.height)) for p in reader.pages}
    ((wide, high),) = sizes
    assert wide * 3 == pytest.approx(high * 4, abs=4)
    # The tune goes on where a section begins: A on one screen, B on the next.
    pages = [text_of(page) for page in reader.pages]
    first = next(n for n, page in enumerate(pages) if "Level 1 · As written" in page)
    assert "Fine" in pages[first] and "D.C. al Fine" in pages[first + 1]
    # No screen has what is watched for and nothing else: it stands under the tune.
    assert not any(re.match(r"[^.]*, continued What to watch", page) for page in pages)
    assert "What to watch" in pages[first + 1] and len(pages) <= 3 * 8
    with pytest.raises(HarmonyError, match="a sheet that lies across"):
        Variant(landscape=True)


@pytest.mark.parametrize("large", [False, True])
def test_every_sign_of_a_strum_is_told(lesson_path: Path, large: bool) -> None:
    """Six signs stand in as many lines as they need, behind one bar and below two."""
    signs = ["soft", "louder", "muted", "string by string", "cut short", "the next chord, early"]
    lesson = load_lesson(lesson_path)
    (played,) = lesson.played
    for bars in ("D! (U) X R . D~ - -", "D! (U) X R . D~ - - | D - - - - - - -"):
        own = replace(played, arrangement=played.arrangement.strummed(bars))
        strummed = replace(lesson, played=(own,))
        reader = read(gather_handout(strummed, Variant(large=large)).pdf())
        assert_well_set(reader, LARGE_PT if large else LEAST_PT)
        (chart,) = (page for page in map(text_of, reader.pages) if " strum " in page)
        assert all(f": {sign}" in chart for sign in signs)


def test_the_first_page_names_chords_that_it_has_no_room_to_draw() -> None:
    """Two lines of title leave less room: the idea keeps its page, and none is blank."""
    for instrument, levels in (("guitar", 4), ("ukulele", 4)):
        reader = shipped_sheet("four_dominants", instrument)
        pages = [text_of(page) for page in reader.pages]
        assert "lower D" in pages[0] or "lower g" in pages[0]
        assert sum("Level 1 ·" in page for page in pages[:2]) == 1 and "strum" in pages[1]
        assert sum("strum" in page for page in pages) == levels


def test_a_lying_first_page_shows_the_whole_idea_under_six_strings() -> None:
    """The shape and what comes of it: five boxes of a guitar in one row, not a head alone."""
    lesson = load_lesson(find_data("lessons", "four_dominants"), instrument="guitar")
    head, *rest = lesson.sections
    head = replace(head, blocks=())
    front = replace(lesson.front, title="Four of them", subtitle="")
    short = replace(lesson, front=front, sections=(head, *rest), played=lesson.played[:1])
    reader = read(gather_handout(short, Variant.named("tablet landscape")).pdf())
    first = text_of(reader.pages[0])
    assert "Four of them" in first and first.count("lower ") == 4
    assert_well_set(reader, TABLET_PT)


def test_variants_are_combined(stiff: Lesson) -> None:
    variant = Variant.named("one ink, left-handed, large print")
    assert variant == Variant("one ink", left_handed=True, large=True)
    assert Variant.named("left-handed,tablet") == Variant(left_handed=True, tablet=True)
    data = handout_data(stiff, variant)
    colours = {c for figure in data["figures"] for c in re.findall("#[0-9a-f]{6}", figure["svg"])}
    assert colours == {"#000000", "#ffffff"} and data["large"]
    assert any("left hand" in figure["alt"] for figure in data["figures"])


def test_what_its_author_draws_is_mirrored_too() -> None:
    lesson = load_lesson(find_data("lessons", "three_fall_one_rises"))
    for left in (False, True):
        data = handout_data(lesson, Variant(left_handed=left))
        parts = [part for own in data["lessons"][0]["own"] for part in own["parts"]]
        alts = [data["figures"][key]["alt"] for part in parts for key in part.get("figures", ())]
        assert len(alts) == 2 and all(("left hand" in alt) == left for alt in alts)


@pytest.mark.parametrize("name", ["three_fall_one_rises", "one_voice_moves"])
def test_what_its_author_draws_is_as_large_as_all_shapes_of_large_print(name: str) -> None:
    """At 18 mm from string to string four note names of 16 points stand side by side."""
    data = handout_data(load_lesson(find_data("lessons", name)), Variant(large=True))
    parts = [part for own in data["lessons"][0]["own"] for part in own["parts"]]
    drawn = [data["figures"][key] for part in parts for key in part.get("figures", ())]
    assert drawn and min(one["wide"] - 2 * one["left"] for one in drawn) >= 18 - 0.01
    assert all(one["wide"] <= ROW_MM for one in drawn)


def test_one_ink(stiff: Lesson) -> None:
    data = handout_data(stiff, Variant("one ink", left_handed=True))
    colours = {c for figure in data["figures"] for c in re.findall("#[0-9a-f]{6}", figure["svg"])}
    assert colours == {"#000000", "#ffffff"}


def test_a_mixed_class_is_told_its_instrument(lesson_path: Path) -> None:
    assert "tuned g C E A" in text_of(shipped_sheet("stiff_dominant").pages[0])
    text = lesson_path.read_text(encoding="utf-8")
    text = text.replace('shape = "4545"\n', 'also = ["guitar"]\n').replace('from = "0201"\n', "")
    text = text.replace('shape("4545")', "shape()").replace('notes("4545")', "notes()")
    text = text.replace('"ukulele"', '"baritone ukulele"')
    lesson_path.write_text(text, encoding="utf-8")
    first = texts_of(gather_handout(load_lesson(lesson_path)).pdf())[0]
    assert "baritone ukulele · tuned D G B E" in first


def test_a_book_of_two_small_lessons(lesson_path: Path) -> None:
    small = load_lesson(lesson_path)
    text = lesson_path.read_text(encoding="utf-8").replace("A small lesson", "A second one")
    lesson_path.write_text(text, encoding="utf-8")
    second = load_lesson(lesson_path)
    reader = read(gather_book([small, second], title="Autumn term").pdf())
    assert_well_set(reader)
    assert reader.metadata is not None and reader.metadata.title == "Autumn term"
    pages = [text_of(page) for page in reader.pages]
    # The answers of both stand together at the end and are counted by themselves.
    sheet = len(pages) - 2
    *counted, last = pages[:-2]
    assert all(page.endswith(f"page {n} of {sheet}") for n, page in enumerate(counted, 1))
    assert last.endswith(f"page {sheet} of {sheet}, answers follow")
    assert [page.endswith(f"answers, page {n} of 2") for n, page in enumerate(pages[-2:], 1)] == [
        True, True,
    ]  # fmt: skip
    assert "A small lesson" in pages[-2] and "A second one" in pages[-1]
    for entry in ("A small lesson", "A second one"):
        start = next(n for n, page in enumerate(pages[1:], 2) if entry in page)
        # A lesson begins on a right page, its level on the left one that it turns to.
        assert start % 2 == 1 and "Level 1 ·" in pages[start]
        assert re.search(rf"{entry} {start}\b", pages[0])
    assert len(list(reader.pages[0].get("/Annots", []))) == 2 + 2
    titles = [str(item.title) for item in outline(reader)]
    assert titles[0] == "Autumn term" and {"A small lesson", "A second one"} <= set(titles)


@pytest.mark.long
def test_a_book(waltz: Lesson, lesson_path: Path) -> None:
    small = load_lesson(lesson_path)
    reader = read(gather_book([waltz, small], title="Autumn term").pdf())
    assert_well_set(reader)
    assert reader.metadata is not None and reader.metadata.title == "Autumn term"
    pages = [text_of(page) for page in reader.pages]
    # The answers of both stand together at the end and are counted by themselves.
    sheet = len(pages) - 2
    *counted, last = pages[:-2]
    assert all(page.endswith(f"page {n} of {sheet}") for n, page in enumerate(counted, 1))
    assert last.endswith(f"page {sheet} of {sheet}, answers follow")
    assert [page.endswith(f"answers, page {n} of 2") for n, page in enumerate(pages[-2:], 1)] == [
        True, True,
    ]  # fmt: skip
    assert "Four dominants, one diminished seventh" in pages[-2] and "A small lesson" in pages[-1]
    alone = sum(len(read(gather_handout(one).pdf()).pages) for one in (waltz, small))
    # Behind a page of contents; a level begins on a left page, so a page may be left blank.
    assert alone + 1 <= len(pages) <= alone + 1 + 2
    for entry, there in [
        ("Four dominants, one diminished seventh", "Four dominants, one diminished seventh"),
        ("A small lesson", "A small lesson"),
        ("Slack Water Waltz, Level 2 · Rootless dominants", "Level 2 · Rootless"),
        ("Four Bars of Fog, Level 1 · Leading", "Level 1 · Leading"),
    ]:
        start = next(n for n, page in enumerate(pages[1:], 2) if there in page)
        assert re.search(rf"{re.escape(entry)} {start}\b", pages[0])
    links = list(reader.pages[0].get("/Annots", []))
    assert len(links) == 2 + len(waltz.played) + len(small.played)
    titles = [str(item.title) for item in outline(reader)]
    assert titles[0] == "Autumn term" and "Four dominants, one diminished seventh" in titles


def test_a_book_is_the_same_twice_and_never_empty(lesson_path: Path) -> None:
    lesson = load_lesson(lesson_path)
    assert gather_book([lesson, lesson]).pdf() == gather_book([lesson, lesson]).pdf()
    assert book_data([lesson], "", Variant())["document"]["title"] == "Quay"
    with pytest.raises(HarmonyError, match="without lessons"):
        gather_book([]).pdf()


def test_a_short_lesson_has_its_parts_in_order(lesson_path: Path) -> None:
    """The first page, the tune and its shapes, what looks closer, the answers."""
    pages = texts_of(gather_handout(load_lesson(lesson_path)).pdf())
    assert len(pages) == 5
    assert "Four Bars of Fog" in pages[1] and pages[2].startswith("The shapes, in playing order")
    assert "Your turn" in pages[3] and "The four dominants of" in pages[3]
    assert pages[3].endswith("page 4 of 4, answers follow")
    assert pages[4].startswith("Answers")


def test_a_lesson_on_another_chord_has_no_exercise(lesson_path: Path) -> None:
    text = lesson_path.read_text(encoding="utf-8")
    text = text.replace('shape = "4545"', 'shape = "0202"').replace('"Ddim7"\nscale', '"G6"\nscale')
    lesson_path.write_text(text, encoding="utf-8")
    pages = texts_of(gather_handout(load_lesson(lesson_path)).pdf())
    # Its reasons and rights stand on the first page, which has room for them.
    assert len(pages) == 3 and "The shape" in pages[0] and "Good to know" in pages[0]
    assert not any("Your turn" in page or "Answers" in page for page in pages)


@pytest.mark.parametrize(
    "variant", [Variant(large=True), Variant("one ink", left_handed=True, answers="upside down")]
)
def test_variants_keep_the_standard(lesson_path: Path, variant: Variant) -> None:
    """PDF/UA-1 (ISO 14289-1:2014), as far as typst can see; one lesson and a book."""
    lesson = load_lesson(lesson_path)
    for data in (handout_data(lesson, variant), book_data([lesson], "", variant)):
        reader = read(Unset.of("handout", data, standard="ua-1").pdf())
        assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
