"""Layouts against published drop voicings, and against their definition."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tables import numbers, rows

from harmonykit.errors import HarmonyError
from harmonykit.fretboard.shapes.textures import LAYOUTS, check_layout, layout_of

COLUMNS = {
    "close": "close_midi",
    "drop 2": "drop2_midi",
    "drop 3": "drop3_midi",
    "drop 2 and 4": "drop2and4_midi",
}
DROPPED = {"close": (), "drop 2": (2,), "drop 3": (3,), "drop 2 and 4": (2, 4)}
LABELS = [f"{row['chord']} {row['close_midi']}" for row in rows("drop2")]


# drop2.tsv: Berklee, "Arranging 3", lesson 2, topic 3.
@pytest.mark.parametrize("name", COLUMNS)
@pytest.mark.parametrize("row", rows("drop2"), ids=LABELS)
def test_layouts_are_named_as_in_the_table(row: dict[str, str], name: str) -> None:
    assert layout_of(numbers(row[COLUMNS[name]])) == name


close_chords = st.builds(
    lambda low, above: (low, *(low + n for n in sorted(above))),
    st.integers(40, 70),
    st.sets(st.integers(1, 11), min_size=3, max_size=3),
)


@given(close_chords, st.sampled_from(sorted(DROPPED)), st.randoms())
def test_a_dropped_chord_is_named_in_whatever_order_it_comes(
    close: tuple[int, ...], name: str, draw: st.DataObject
) -> None:
    top_down = sorted(close, reverse=True)
    dropped = [p - 12 if voice in DROPPED[name] else p for voice, p in enumerate(top_down, 1)]
    draw.shuffle(dropped)  # type: ignore[attr-defined]
    assert layout_of(dropped) == name


# Close and open triads: common practice, no source.
@pytest.mark.parametrize(
    ("pitches", "name"),
    [
        ((60, 64, 67), "close"),
        ((64, 67, 72), "close"),
        ((60, 67, 76), "open"),
        ((55, 64, 72), "open"),
        ((48, 64, 67), ""),
        ((60, 64, 67, 72), ""),
        ((60, 64), ""),
        ((60,), ""),
        ((48, 52, 67, 71), ""),
        ((60, 64, 67, 71, 74), ""),
    ],
)
def test_triads_and_what_has_no_name(pitches: tuple[int, ...], name: str) -> None:
    assert layout_of(pitches) == name


def test_an_unknown_layout_is_refused_with_the_known_ones() -> None:
    assert set(COLUMNS) < set(LAYOUTS)
    for name in LAYOUTS:
        check_layout(name)
    with pytest.raises(HarmonyError, match="drop 2 and 4"):
        check_layout("drop 5")
