"""What a statement is about: every way to tell a chord, a scale, a kind, an interval.

The notes are worked out by hand (common practice, no source).
"""

from __future__ import annotations

import pytest

from harmonykit.lesson.plan.model import LessonError
from harmonykit.lesson.statements.sounding import heard, read_kind
from harmonykit.theory.modes import SCALES
from harmonykit.theory.symbols.quality import QUALITIES


@pytest.mark.parametrize(
    ("text", "name", "spelled"),
    [
        ("C/D", "C/D", "D, C, E and G"),
        ("F7 without its fifth", "F7 without its fifth", "F, A and E♭"),
        ("  F7 without the fifth ", "F7 without its fifth", "F, A and E♭"),
        ("F7 without fifth", "F7 without its fifth", "F, A and E♭"),
        ("C9 without its root and fifth", "C9 without its root and fifth", "E, B♭ and D"),
        ("C9 without its root, fifth, ninth", "C9 without its root, fifth and ninth", "E and B♭"),
        ("C7 without its flat seventh", "C7 without its flat seventh", "C, E and G"),
        ("C7 without its seventh", "C7 without its seventh", "C, E and G"),
        ("C9 without its ninth", "C9 without its ninth", "C, E, G and B♭"),
        ("C9 without its root, and the fifth", "C9 without its root and fifth", "E, B♭ and D"),
        ("C11 without its eleventh", "C11 without its eleventh", "C, E, G, B♭ and D"),
        ("C6 without its sixth", "C6 without its sixth", "C, E and G"),
        ("Csus4 without its fourth", "Csus4 without its fourth", "C and G"),
        ("Csus2 without its second", "Csus2 without its second", "C and G"),
        ("C/Bb without its third", "C/B♭ without its third", "B♭, C and G"),
        ("C6 in third inversion", "C6 in third inversion", "A, C, E and G"),
        ("C in second inversion", "C in second inversion", "G, C and E"),
        ("C/E in root position", "C/E in root position", "C, E and G"),
        ("C major", "C major", "C, D, E, F, G, A and B"),
        ("D dorian", "D dorian", "D, E, F, G, A, B and C"),
        ("Bb minor", "B♭ natural minor", "B♭, C, D♭, E♭, F, G♭ and A♭"),
        ("F# major", "F♯ major", "F♯, G♯, A♯, B, C♯, D♯ and E♯"),
        ("Bbb7", "B𝄫7", "A, D♭, F♭ and G"),
    ],
)
def test_what_sounds(text: str, name: str, spelled: str) -> None:
    whole = heard(text)
    notes = spelled.replace(" and ", ", ").split(", ")
    if "inversion" in text or "position" in text:
        # The bass lies lowest; the notes are told from the root on or from the bass on.
        assert sorted(whole.spelled.replace(" and ", ", ").split(", ")) == sorted(notes)
        assert whole.chord is not None
        assert whole.chord.bass.plain().unicode == notes[0]
    else:
        assert whole.spelled == spelled
    assert whole.name == name
    assert len(whole.pcs) == len(notes)


@pytest.mark.parametrize(
    ("text", "what", "rule", "mend"),
    [
        ("C without its seventh", "C has no seventh", "fifth, major third, root", "fifth"),
        # It has a seventh, the flat one.
        (
            "C7 without its major seventh",
            "C7 has no major seventh",
            "fifth, flat seventh, major third, root",
            "fifth",
        ),
        ("C without root and ninth", "C has no ninth", "fifth, major third, root", "fifth"),
        ("C without its , fifth", "C has no such note", "fifth, major third, root", "fifth"),
    ],
)
def test_what_is_not_there_cannot_be_left_out(text: str, what: str, rule: str, mend: str) -> None:
    with pytest.raises(LessonError) as caught:
        heard(text)
    assert caught.value.what == what
    assert caught.value.rule == f"its tones are: {rule}"
    symbol = text.split()[0]
    assert caught.value.mend == f"{symbol} without its {mend}"
    assert heard(caught.value.mend).notes


def test_something_must_be_left() -> None:
    with pytest.raises(LessonError, match="nothing is left of C") as caught:
        heard("C without its root, third and fifth")
    assert caught.value.rule == "leave at least one note"


@pytest.mark.parametrize(
    ("text", "what", "count"),
    [
        ("C in third inversion", "C has no third inversion", "three"),
        ("C7 in fourth inversion", "C7 has no fourth inversion", "four"),
        ("C5 in second inversion", "C5 has no second inversion", "two"),
        ("C in open position", "C has no open inversion", "three"),
    ],
)
def test_inversions_are_as_many_as_notes(text: str, what: str, count: str) -> None:
    with pytest.raises(LessonError) as caught:
        heard(text)
    assert caught.value.what == what
    assert caught.value.rule == f"it has {count} notes"
    assert caught.value.mend == f"{text.split()[0]} in first inversion"
    assert heard(caught.value.mend).notes


def test_every_note_has_the_name_that_it_has_there() -> None:
    flat, plain = heard("Db7"), heard("E major")
    assert [flat.spell(pc) for pc in (1, 5, 8, 11)] == ["D♭", "F", "A♭", "C♭"]
    assert [plain.spell(pc) for pc in (4, 6, 8, 9, 11, 1, 3)] == "E F♯ G♯ A B C♯ D♯".split()
    # Outside a scale: with a sharp, or plain.
    assert [plain.spell(pc) for pc in (0, 2, 5, 7, 10)] == ["C", "D", "F", "G", "A♯"]


# On C, in semitones: every interval within the octave.
INTERVALS = (
    "half step", "whole step", "minor third", "major third", "perfect fourth", "tritone",
    "perfect fifth", "minor sixth", "major sixth", "minor seventh", "major seventh",
)  # fmt: skip


def test_every_interval_has_its_size() -> None:
    for size, name in enumerate(INTERVALS, start=1):
        for words in (name, f"{name}s", f"a {name}", f" {name} "):
            kind = read_kind(words)
            assert kind is not None
            assert (kind.one, kind.many, kind.suffix) == (name, f"{name}s", None)
            assert set(kind.pattern) == {0, size}
            assert kind.article == f"a {name}"
    assert read_kind("octave") is None


def test_an_article_is_an_before_a_vowel_that_is_spoken() -> None:
    """Read aloud: an augmented, an eleventh, an add9, an alt, an octatonic; a 7, a 6, a 13."""
    scales = [f"{name} scale" for name in SCALES]
    for name in [*(quality.suffix for quality in QUALITIES), *scales, "diminished scale"]:
        kind = read_kind(name)
        assert kind is not None, name
        vowel = kind.one.startswith(("aug", "el", "add", "alt", "oct"))
        assert kind.article == f"{'an' if vowel else 'a'} {kind.one}"
        # The noun has the ending: "dominant sevenths with a flat fifth".
        noun, with_, rest = kind.one.partition(" with ")
        assert kind.many == f"{noun}s{with_}{rest}"
        again = read_kind(kind.many)
        assert again == kind or name not in scales
        # A set of twelve roots has 12 members, or a divisor where it is the same again.
        pcs = set(kind.pattern)
        turned = {frozenset((pc + root) % 12 for pc in pcs) for root in range(12)}
        assert len(kind.sets) == len(turned)


@pytest.mark.parametrize(
    ("words", "one", "pcs"),
    [
        ("whole-tone scale", "whole-tone scale", {0, 2, 4, 6, 8, 10}),
        ("whole tone scales", "whole-tone scale", {0, 2, 4, 6, 8, 10}),
        ("diminished scales", "diminished scale", {0, 2, 3, 5, 6, 8, 9, 11}),
        # On the seventh degree of C harmonic minor's like: C Db Eb Fb Gb Ab Bbb.
        ("altered diminished scale", "altered diminished scale", {0, 1, 3, 4, 6, 8, 9}),
        ("a major scale", "major scale", {0, 2, 4, 5, 7, 9, 11}),
    ],
)
def test_kinds_of_scale(words: str, one: str, pcs: set[int]) -> None:
    kind = read_kind(words)
    assert kind is not None
    assert (kind.one, set(kind.pattern), kind.suffix) == (one, pcs, None)


def test_a_scale_is_called_so_to_be_a_kind() -> None:
    assert read_kind("dorian") is None
    assert read_kind("Cmaj7") is None
    assert read_kind("C major scale") is None


def test_notes_of_a_kind_inside_a_chord_are_told_from_their_root() -> None:
    """C7 has E and Bb a tritone apart; Bdim7 has two, B and F first; C7 has no minor triad."""
    tritone, triad = read_kind("tritone"), read_kind("dim")
    assert tritone is not None and triad is not None
    assert tritone.inside(heard("C7")) == [4, 10]
    assert tritone.inside(heard("Bdim7")) == [11, 5]
    assert tritone.inside(heard("C")) == []
    half = read_kind("diminished triad")
    assert half is not None
    assert half.inside(heard("G7")) == [11, 2, 5]
