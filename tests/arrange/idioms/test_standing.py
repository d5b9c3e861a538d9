"""Where idioms stand: rows that their sources print are found, in every key, and not elsewhere."""

from __future__ import annotations

import pytest

import harmonykit as hk
from harmonykit.arrange.idioms.standing import find_idioms, shown_in
from harmonykit.errors import HarmonyError
from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key


@pytest.mark.parametrize(
    ("idiom", "changes"),
    [
        ("ii–V–I", "| Dm7 | G7 | Cmaj7 |"),
        ("minor ii–V–i", "| Dm7b5 | G7b9 | Cm6 |"),
        # Wikipedia, "Backdoor progression".
        ("backdoor ii–V", "| Fm7 | Bb7 | C |"),
        # Wikipedia, "Ragtime progression".
        ("chain of dominants", "| E7 | A7 | D7 | G7 | C |"),
        # Wikipedia, "Turnaround (music)".
        ("turnaround", "| C | Am7 | Dm7 | G7 |"),
        ("turnaround with a secondary dominant", "| C A7 | Dm7 G7 |"),
        ("turnaround from the third degree", "| Em7 A7 | Dm7 G7 |"),
        ("flat-side turnaround", "| C Eb | Ab Db7 |"),
        # Wikipedia, "Coltrane changes".
        ("major-third cycle", "| Dm7 Eb7 | Ab B7 | E G7 | C |"),
        # Web, "Line Clichés".
        ("minor line cliché", "| Am Ammaj7 | Am7 Am6 |"),
        ("line cliché before the dominant", "| Dm Dmmaj7 | Dm7 G7 |"),
        ("rising line cliché", "| C C+ | C6 C7 | F |"),
        ("tritone substitution in a cadence", "| Dm7 Db7 | C6 |"),
        ("half-step dominant before ii", "| C6 Eb7 | Dm7 |"),
        ("half-step dominant before the third degree", "| Cmaj7 F7 | Em7 |"),
        ("half-step dominant before the fourth degree", "| C6 Gb7 | Fmaj7 |"),
        ("half-step dominant before the dominant", "| C6 Ab7 | G7 | C6 |"),
        ("leading-tone seventh", "| C6 C#dim7 | Dm7 |"),
        ("descending diminished", "| Em7 Ebdim7 | Dm7 |"),
        ("raised fourth diminished", "| F F#dim7 | G7 |"),
        ("four–three suspension", "| G7sus4 G7 | C |"),
        ("minor subdominant to the tonic", "| Fm6 | C |"),
        ("tag", "| G7 | Em7 A7 | Dm7 G7 | C6 |"),
    ],
)
def test_a_published_row_is_found_in_twelve_keys(idiom: str, changes: str) -> None:
    tune = hk.Tune.parse(changes, key="C")
    for semitones in range(-5, 7):
        names = [each.idiom for each in find_idioms(tune.transpose_by(semitones))]
        assert idiom in names
    assert idiom not in [each.idiom for each in find_idioms("| C6 | C6 | F6 | C6 |")]


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ("| Am | G | F | E |", True),
        ("| Am7 G7 | Fmaj7 E7 |", True),
        ("| Am Am/G | F E7 |", True),
        ("| Am Em/G | Dm/F E |", True),
        ("| Am G | F7 E7 |", True),
        ("| Am Em | F E |", False),
        ("| Am G | Dm E |", False),
        ("| Am G | F C |", False),
    ],
)
def test_a_bass_that_falls_from_the_tonic_to_the_dominant_is_a_lament(
    changes: str, *, found: bool
) -> None:
    """A, G, F and E in the bass (common practice, no source)."""
    tune = hk.Tune.parse(changes, key="Am")
    for semitones in range(-5, 7):
        names = [each.idiom for each in find_idioms(tune.transpose_by(semitones))]
        assert ("lament bass" in names) is found
    # In the relative major key it is none.
    major = find_idioms(hk.Tune.parse(changes, key="C"))
    assert "lament bass" not in [each.idiom for each in major]


def test_bars_and_key_of_a_row_are_told() -> None:
    tune = hk.Tune.parse("| Bb6 | Bb6 | Fm7 | Bb7 | Eb6 | Eb6 |", key="Bb")
    (found,) = [each for each in find_idioms(tune) if each.idiom == "ii–V–I"]
    assert (str(found.key), found.first_bar, found.last_bar) == ("Eb major", 3, 5)
    assert str(found) == "ii–V–I in E♭ major, bars 3–5: Fm7 – B♭7 – E♭6"


def test_a_row_that_is_played_twice_is_told_once() -> None:
    found = find_idioms(hk.Tune.parse("|: Dm7 | G7 | C6 | C6 :|", key="C"))
    assert [each.idiom for each in found].count("ii–V–I") == 1


def test_an_ending_is_found_at_the_end_alone() -> None:
    end = find_idioms(hk.Tune.parse("| Dm7 | G7 | C6/9 |", key="C"))
    middle = find_idioms(hk.Tune.parse("| Dm7 | G7 | C6/9 | F6 |", key="C"))
    assert "six-nine ending" in [each.idiom for each in end]
    assert "six-nine ending" not in [each.idiom for each in middle]


def test_rows_of_one_idiom_share_a_chord_at_most() -> None:
    row = [Chord.parse(each) for each in "C6 F6 C6 F6 C6".split()]
    idiom = hk.arrange.IDIOMS["plagal cadence"]
    found = [(first, last) for _, _, first, last in shown_in(row, Key.parse("C"), [idiom])]
    assert found == [(1, 2), (3, 4)]


def test_what_is_no_set_of_idioms_is_refused() -> None:
    with pytest.raises(HarmonyError, match="idioms by name"):
        find_idioms("| C |", idioms={"x": 7})  # type: ignore[dict-item]
