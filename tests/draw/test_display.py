"""Values in a notebook: what IPython is given of each, and what is loaded for it."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree

import pytest
from small_tunes import tune_of

import harmonykit as hk
from harmonykit.draw.display import TYPES, WITH_TABLE, register

SVG = "{http://www.w3.org/2000/svg}"
TUNE = tune_of("| C6 | Dm7 G7 | C6 | - |")
UKULELE = hk.Instrument.named("ukulele")
# Each with some words that its alt text must have.
VALUES: list[tuple[Any, tuple[str, ...]]] = [
    (hk.Chord.parse("F#7b9/B"), ("F sharp seven flat nine over B", "A sharp, the major third")),
    (hk.Chord.parse("C13"), ("A, the thirteenth",)),
    (hk.PcSet.of(0, 3, 6, 9), ("set class 4-28", "interval vector 0 0 4 0 0 2")),
    (hk.PcSet.of(), ("set class 0-1",)),
    (hk.PcSet(4095), ("set class 12-1",)),
    (hk.SixthDiminished("C"), ("C six", "D diminished seven", "C six over E")),
    (hk.Scale("Bb", "lydian dominant"), ("B flat seven", "C seven", "D minor seven flat five")),
    (hk.Scale("C", "whole tone"), ("C, D, E",)),
    (
        hk.Voicing.parse("0003", "ukulele"),
        ("A string, third fret, the note C", "it can be called C"),
    ),
    (hk.Voicing.parse("1-9-x-x", "ukulele"), ("ninth fret",)),
    (UKULELE, ("open strings G4 C4 E4 A4", "381 mm")),
    (hk.Instrument.named("guitar").with_capo(3).for_left_hand(), ("a capo at fret 3",)),
    (TUNE, ("4/4", "bar 2, D minor seven then G seven")),
    (hk.chord("G7"), ("G seven", "F, the flat seventh")),
    (
        hk.progression("Dm7 G7 Cmaj7"),
        ("G seven, V7", "Dm7 – G7: A falls to G, C falls to B; D and F stay"),
    ),
    (hk.progression("| C | N.C. |"), ("C, I",)),
    (
        hk.reharmonise(TUNE, UKULELE, k=1, wishes=hk.Wishes(density="full"))[0],
        ("for ukulele", ", added"),
    ),
]


@pytest.fixture(scope="module")
def formatter() -> Iterator[Any]:
    from IPython.core.formatters import DisplayFormatter

    shown = DisplayFormatter()
    register(shown.formatters)
    yield shown


@pytest.mark.parametrize(("value", "words"), VALUES, ids=lambda value: repr(value)[:40])
def test_a_value_shows_a_picture_with_words_and_its_repr(
    formatter: Any, value: Any, words: tuple[str, ...]
) -> None:
    bundle, _ = formatter.format(value)
    assert bundle["text/plain"] in (repr(value), str(value))
    root = ElementTree.fromstring(bundle["image/svg+xml"])
    assert root.find(f"{SVG}title").text
    told = root.find(f"{SVG}desc").text
    assert root.get("aria-label") == told
    assert [word for word in words if word not in told] == []
    assert float(root.get("width").removesuffix("mm")) <= 152
    ids = [part.get("id") for part in root.iter() if part.get("id")]
    assert len(ids) == len(set(ids))
    assert ("text/html" in bundle) == (type(value).__name__ in WITH_TABLE)
    assert formatter.format(value)[0] == bundle


def test_every_type_is_shown_here() -> None:
    assert {type(value).__name__ for value, _ in VALUES} == set(TYPES)
    assert {type(value).__name__: type(value).__module__ for value, _ in VALUES} == TYPES


def test_all_about_a_chord_has_a_table_with_all_that_its_text_tells(formatter: Any) -> None:
    about = hk.chord("Bdim7")
    html = formatter.format(about)[0]["text/html"]
    table = ElementTree.fromstring(html[html.index("<table>") :])
    told = " ".join(" ".join(table.itertext()).split())
    for word in str(about).split("\n", 1)[1].split():
        assert word.rstrip("-") in told


def test_a_progression_has_a_table_of_its_changes(formatter: Any) -> None:
    html = formatter.format(hk.progression("Dm7 G7 C C6 C13"))[0]["text/html"]
    table = ElementTree.fromstring(html[html.index("<table>") : html.index("</table>") + 8])
    rows = [["".join(cell.itertext()) for cell in row] for row in table][1:]
    assert [row[0] for row in rows] == ["Dm7 – G7", "G7 – C", "C6 – C13"]
    assert all(float(row[1]) > 0 for row in rows) and rows[1][-1] == "G7 C6"
    assert "Surprise: " in html


def test_an_arrangement_has_a_table_of_what_was_added(formatter: Any) -> None:
    way = VALUES[-1][0]
    html = formatter.format(way)[0]["text/html"]
    assert html.count("<tr>") == 1 + len(way.added)
    assert way.added[0].reason in html
    assert html.startswith('<img src="data:image/svg+xml;base64,')


def test_nothing_of_it_is_loaded_outside_ipython() -> None:
    script = (
        "import sys, harmonykit as hk; hk.Chord.parse('Am7'); "
        "print([n for n in sys.modules if n == 'IPython' or n.startswith('harmonykit.draw')])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, check=True)
    assert done.stdout.strip() == b"[]"


_IN_A_KERNEL = """
import sys
from IPython.core.interactiveshell import InteractiveShell
shell = InteractiveShell.instance()
import harmonykit as hk
loaded = {name for name in sys.modules if name.startswith("harmonykit.draw")}
assert loaded <= {"harmonykit.draw", "harmonykit.draw.display"}, loaded
bundle, _ = shell.display_formatter.format(hk.Chord.parse("Am7"))
assert sorted(bundle) == ["image/svg+xml", "text/plain"], sorted(bundle)
assert bundle["text/plain"] == "Chord.parse('Am7')"
assert "A minor seven" in bundle["image/svg+xml"]
print("shown")
"""


def test_a_shell_shows_values_once_the_library_is_imported() -> None:
    done = subprocess.run(
        [sys.executable, "-c", _IN_A_KERNEL], capture_output=True, text=True, check=False
    )
    assert done.stdout.strip() == "shown", done.stderr
