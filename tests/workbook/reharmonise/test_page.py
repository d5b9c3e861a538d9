"""The regions of the page: whole, true to the ways, and nothing in them that was only typed."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from harmonykit.arrange.measures import MORE, UNITS
from harmonykit.arrange.moves import MOVES
from harmonykit.arrange.playability import playability
from harmonykit.arrange.revising import chosen_at
from harmonykit.arrange.styles import STYLES
from harmonykit.score.typed import open_file, read_typed
from harmonykit.words.glossary import term
from harmonykit.workbook.base import view
from harmonykit.workbook.reharmonise import page, plot
from harmonykit.workbook.reharmonise.charts import Charts
from harmonykit.workbook.reharmonise.decisions import others_at, place_at
from harmonykit.workbook.reharmonise.state import FIGURES, ReharmoniseState
from harmonykit.workbook.reharmonise.ways import Ways, find_best, find_front


def quiet(done: int, total: int) -> None:
    pass


@pytest.fixture(scope="module")
def ways() -> Ways:
    state = ReharmoniseState(text=open_file("slack_water_waltz")[1], best=3)
    return find_front(find_best(state, quiet), quiet)


def tree(html: str) -> ElementTree.Element:
    """Read HTML that closes what it opens; void elements and bare attributes are made XML."""
    html = re.sub(r"<((?:input|br)\b[^>]*)>", r"<\1/>", html)
    # An attribute is followed by whole pairs of quotes; a word in a value is not.
    bare = r' (checked|selected|open|disabled)(?=[ />])(?=[^"<>]*(?:"[^"]*"[^"<>]*)*>)'
    html = re.sub(bare, r' \1="1"', html)
    return ElementTree.fromstring(f"<all>{html}</all>")


def cells(html: str) -> list[list[str]]:
    rows = tree(html).iter("tr")
    return [["".join(cell.itertext()).strip() for cell in row] for row in rows]


def test_every_region_closes_what_it_opens(ways: Ways) -> None:
    state = replace(ways.state, beside="written")
    regions = [
        page.source_html(state, "", replace(ways.tune, doubts=("a doubt",))),
        page.settings_html(state),
        page.direct_html(state),
        plot.live_ways(ways, state),
        page.choices_html(ways),
        page.table_html(ways, state),
        page.chart_html(ways, state, Charts()),
        page.neck_html(ways, state),
        page.reasons_html(ways, state),
    ]
    for html in regions:
        assert len(list(tree(html).iter())) > 3


def test_the_table_says_what_was_measured(ways: Ways) -> None:
    head, *rows = cells(page.table_html(ways, ways.state))
    assert head[1].startswith("voice leading") and head[-1] == "compare"
    for row, line in zip(ways.listed(ways.state), rows, strict=True):
        assert line[0].startswith(row.mark + row.name.removeprefix(f"{row.mark}, "))
        assert line[1] == str(row.measures.semitones)
        assert line[2] == str(row.measures.travel_mm)
        assert line[-2] == ("–" if row.cost is None else str(row.cost))


def test_the_least_of_a_column_is_bold_and_no_other(ways: Ways) -> None:
    html = page.table_html(ways, ways.state)
    body = [row for row in tree(html).iter("tr") if row.get("data-press")]
    for column in range(1, len(body[0]) - 2):  # the cost and "compare" come last
        numbers = [float(row[column].text or "nan") for row in body]
        bold = ["hk-least" in row[column].get("class", "") for row in body]
        assert [number for number, b in zip(numbers, bold, strict=True) if b]
        assert all(number == min(numbers) for number, b in zip(numbers, bold, strict=True) if b)


def test_a_column_that_is_the_same_in_each_row_is_not_shown(ways: Ways) -> None:
    (short, *rows), (_, full, *every) = (
        cells(page.table_html(ways, replace(ways.state, all_numbers=all_numbers)))
        for all_numbers in (False, True)
    )
    # A tune without a melody has no clashes; that is said once below.
    assert not any(name.startswith(("added clashes", "clashes")) for name in (*short, *full))
    said = page.table_html(ways, replace(ways.state, all_numbers=True)).partition("The same")[2]
    assert "; clashes 0 (melody notes)" in said and "; added clashes 0 (melody notes)" in said
    for head, body in ((short, rows), (full, every)):
        assert all(len({row[n] for row in body}) > 1 for n in range(2, len(head) - 2))


def test_more_measures_stand_in_groups_with_what_more_of_each_is(ways: Ways) -> None:
    columns = page.columns(all_numbers=True)
    groups = [name for name, _ in itertools.groupby(column.group for column in columns)]
    assert groups == ["voices", "hand", "harmony", ""]
    assert len({column.id for column in columns}) == len(columns) < len(UNITS)
    for column in columns[:-1]:
        assert column.unit == UNITS[column.id] and column.more == f"more is {MORE[column.id]}"


@pytest.mark.parametrize("view", FIGURES)
def test_a_figure_is_drawn_for_wide_and_for_small_screens(ways: Ways, view: str) -> None:
    """By hand: 174 mm and 90 mm, at 96 CSS pixels an inch less than 680 and than 360 pixels."""
    found = tree(page.figure_html(ways, replace(ways.state, view=view)))
    drawn = [each for each in found.iter() if each.tag.endswith("svg")]
    widths = [float(each.get("width", "0mm").removesuffix("mm")) / 25.4 * 96 for each in drawn]
    assert len(widths) == 2 and widths[0] < 680 and widths[1] < 360
    texts = ["".join(each.itertext()) for each in drawn]
    names = {"as written", ways.chosen("best-1").name} if view != "voices" else {"usual 1"}
    assert all(name in text for name in names for text in texts)


def test_a_figure_that_cannot_be_drawn_says_why() -> None:
    found = find_best(ReharmoniseState(text="| C6 | C6 |", moves=(), best=1), quiet)
    html = page.figure_html(found, replace(found.state, view="map"))
    assert "two chords" in html and "<svg" not in html


def test_every_move_can_be_ticked_and_says_what_it_is(ways: Ways) -> None:
    html = page.settings_html(ways.state)
    for move in MOVES:
        assert f'data-set="move-{move}"' in html
        assert term(move).means.endswith(".")
    ticked = re.findall(r'data-set="move-([^"]*)" checked', html)
    assert tuple(ticked) == ways.state.moves


def test_what_is_typed_cannot_become_markup() -> None:
    nasty = "<script>alert(1)</script>"
    text = f'format = 1\ntitle = "{nasty}"\nkey = "C"\nmeter = "4/4"\n[[sections]]\n'
    text += f'name = "{nasty}"\nchanges = "| C6 | G7 |"\n[[sections]]\nname = "B"\nchanges="| C |"'
    found = find_best(ReharmoniseState(text=text, best=1), quiet)
    html = page.chart_html(found, found.state, Charts()) + page.source_html(
        found.state, nasty, replace(found.tune, doubts=(nasty,))
    )
    assert nasty not in html and "&lt;script&gt;" in html


def test_of_several_tunes_one_is_chosen() -> None:
    text = "X:3\nT:Ebb\nK:C\nC|\n\nX:8\nT:Flow\nK:C\nD|\n"
    html = page.source_html(ReharmoniseState(text=text, number=8), "", None)
    assert (
        "Choose one of its 2 tunes" in html and '<option value="8" selected>8 Flow</option>' in html
    )


def test_what_of_a_message_was_left_out_is_told() -> None:
    text = "Pebble Ferry, in D\n| D / Hxx | Em7 A7 | D |\n"
    said = page.source_html(ReharmoniseState(text=text), "", read_typed(text))
    assert "left out: line 2: Hxx" in said
    whole = text.replace(" / Hxx", "")
    assert "left out" not in page.source_html(ReharmoniseState(text=whole), "", read_typed(whole))
    # Of what cannot be read the last that could is shown; what is wrong is told beside it.
    wrong = page.source_html(ReharmoniseState(text="| D / A7 |"), "no", read_typed(whole))
    assert "left out" not in wrong and "no" in wrong


def test_the_front_says_how_complete_it_is(ways: Ways) -> None:
    html = page.choices_html(ways)
    assert "is complete" in html
    # The ends are the least of the one measure and of the other, by brute force.
    chosen = [row for row in ways.rows if row.why]
    ends = [min(chosen, key=lambda row: (row.values[n], row.values[1 - n])) for n in (0, 1)]
    assert f"From {ends[0].mark} to {ends[1].mark} the hand travels" in html
    bounded = replace(ways.front, bounded=True, epsilon=(3, 40, 0))  # type: ignore[type-var]
    said = page.choices_html(replace(ways, front=bounded))
    assert "Any arrangement left out" in said and "3 semitones and 40 mm" in said
    assert "arrangements" not in page.choices_html(replace(ways, rows=(), front=None))


def test_the_chart_has_a_numeral_below_each_chord_and_the_phrases_of_the_tune(ways: Ways) -> None:
    html = page.chart_html(ways, replace(ways.state, chosen="written"), Charts())
    found = tree(html)
    told = [each.text for each in found.iter("p") if each.get("class") == "does"]
    # By hand, in F (common practice, no source).
    assert told[:8] == ["I6", "I6", "V7/ii", "V7/ii", "ii", "ii", "V7", "V7"]
    notes = ["".join(each.itertext()) for each in found.iter("p") if each.get("class") == "hk-note"]
    assert "Cadences: half in bars 8 and 12; authentic in bar 16." in notes


def test_each_cell_and_each_diagram_has_its_rule(ways: Ways) -> None:
    html = page.chart_html(ways, ways.state, Charts())
    ruled = set(re.findall(r"\.(@own@k\d+)\{", html))
    used = set(re.findall(r'class="(?:cell|box) (\S+?)[ "]', html))
    assert used and used <= ruled


@pytest.mark.parametrize(("head", "pressed"), [("", "C major"), ("Key: A minor\n", "A minor")])
def test_the_key_that_is_taken_is_pressed_among_those_offered(head: str, pressed: str) -> None:
    text = f"{head}| C | G | Am | F |"
    html = page.source_html(ReharmoniseState(text=text), "", read_typed(text))
    buttons = [each for each in tree(html).iter("button") if "key-" in each.get("data-press", "")]
    states = {(each.text or "").strip(): each.get("aria-pressed") for each in buttons}
    assert list(states)[:2] == ["C major", "A minor"] and len(states) == 3
    assert [name for name, now in states.items() if now == "true"] == [pressed]
    shares = [int(each.text.split()[0]) for button in buttons for each in button.iter("small")]
    assert shares == sorted(shares, reverse=True) and 95 < sum(shares) <= 101
    # What is pressed looks so: a button of the group is filled with ink.
    css = (Path(view.__file__).parent / "reharmonise.css").read_text(encoding="utf-8")
    (group,) = (each.get("class") or "" for each in tree(html).iter() if each.get("role"))
    rule = re.search(
        r'\.(hk-[a-z]+) button\[aria-pressed="true"\] \{ background: var\(--ink\)', css
    )
    assert rule is not None and rule[1] in group.split()


def test_the_points_of_difficulty_are_told_with_those_of_the_tune(ways: Ways) -> None:
    html = page.reasons_html(ways, ways.state)
    for name in ("best-1", "written"):
        row = ways.chosen(name)
        number = playability(row.arrangement).number
        assert f"<b>{row.name}</b>: {number:.1f} of 34" in html
    points = [float(each) for each in re.findall(r"(-?[0-9.]+) for ", html)]
    assert len(points) == 10 and points[:5] == sorted(points[:5], reverse=True)
    assert "-0.0" not in html


def test_a_menu_tells_each_cost_beside_what_stands(ways: Ways) -> None:
    way = ways.chosen("best-1").arrangement
    place = place_at(way, "place-3-0")
    others = others_at(way, place)
    html = page.place_html(place, way, ways.state.decided, others)
    (now,) = [o.arrangement.cost for o in others if o.chosen == chosen_at(way, place.slot.onset)]
    said = re.findall(r"<small>(used here|costs [^<]*)</small>", html)
    assert said.count("used here") == 1 and len(said) == len(others) > 1
    for words, other in zip(said, others, strict=True):
        gap = other.arrangement.cost - now
        wanted = f"costs {abs(gap)} {'more' if gap > 0 else 'less'}" if gap else "costs the same"
        assert words in (wanted, "used here")
    weights = STYLES[ways.state.style].weights
    assert "compared with what stands here now" in html
    assert f"counts {weights.semitone} for each half step that a voice moves" in html
    assert f"about {weights.chance} for a place left as written" in html
