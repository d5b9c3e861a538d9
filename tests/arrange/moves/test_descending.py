"""The falling diminished seventh, rule by rule (common practice, no source)."""

from __future__ import annotations

from small_tunes import insertions, rules, tune_of

from harmonykit.arrange.wishes import Wishes


def test_it_falls_between_two_minor_chords() -> None:
    assert insertions("descending passing diminished", tune_of("| Em7 | Dm7 |")) == [
        [("Ebdim7", 2, 2)]
    ]


def test_it_does_not_fall_to_a_major_chord_nor_from_elsewhere() -> None:
    assert (
        rules("descending passing diminished", tune_of("| Em7 | D6 |"))[0]
        == "it resolves to a minor chord"
    )
    assert (
        rules("descending passing diminished", tune_of("| G6 | Dm7 |"))[0]
        == "the bass of the chord before is a whole step above that of the next chord"
    )


def test_the_bass_counts_not_the_root() -> None:
    """C/E falls to Dm7: E, E flat, D."""
    assert insertions("descending passing diminished", tune_of("| C/E | Dm7 |")) == [
        [("Ebdim7", 2, 2)]
    ]


def test_not_after_a_diminished_seventh() -> None:
    expected = "two diminished sevenths do not follow each other, except in a walk"
    assert rules("descending passing diminished", tune_of("| Edim7 | Dm7 |"))[0] == expected


def test_it_is_never_called_a_dominant() -> None:
    from harmonykit.arrange.search import reharmonise
    from harmonykit.fretboard.strings.instrument import Instrument

    (best,) = reharmonise(
        tune_of("| Em7 | Dm7 | G7 |"),
        Instrument.named("ukulele"),
        ["descending passing diminished"],
        1,
        wishes=Wishes(prefer="descending passing diminished"),
    )
    assert "dominant" not in best.added[0].reason and "♭9" not in best.added[0].reason
