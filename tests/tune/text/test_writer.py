"""Tunes written as text read back as the same tunes, whatever is in them."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as Q

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import chords, pitches

from harmonykit.theory.chord import Chord
from harmonykit.theory.key import Key
from harmonykit.theory.note import Note
from harmonykit.tune.bar import Bar, BarNote, bar_length
from harmonykit.tune.text.melody import settle_words
from harmonykit.tune.text.writer import write_changes, write_text
from harmonykit.tune.tune import PICKUP, Section, Tune
from harmonykit.tune.words import PLACES, Syllable, plain

METERS = [(4, 4), (3, 4), (2, 2), (6, 8), (5, 4), (7, 8), (12, 8)]
REPEATS = ["plain", "repeat", "three times", "endings", "after endings"]


@st.composite
def words(draw: st.DrawFn) -> tuple[Syllable, ...]:
    """Draw syllables of up to four verses, of any signs."""
    texts = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=5).map(plain)
    texts |= st.sampled_from((".", "_", "-", "#", "|", "\\", "~", "a b", "x-", "-x", "'''", '"'))
    found = []
    for verse in draw(st.sets(st.sampled_from((1, 1, 2, 4)), max_size=2)):
        place, text = draw(st.sampled_from(PLACES)), draw(texts)
        if place == "held" or text:
            found.append(Syllable("" if place == "held" else text, place, verse))
    return tuple(found)


@st.composite
def bars(draw: st.DrawFn) -> Bar:
    meter = draw(st.sampled_from(METERS))
    whole = bar_length(meter)
    length = draw(st.sampled_from([whole, whole, whole, Q(1), Q(1, 2), Q(7, 3)]))
    spots = draw(st.sets(st.sampled_from([Q(n, 6) for n in range(48)]), max_size=5))
    starts = sorted(at * length / 8 for at in spots)
    found = [(draw(st.none() | chords), at) for at in starts]
    beats = [Q(n, 8) * length for n in sorted(draw(st.sets(st.integers(0, 7), max_size=4)))]
    melody = [
        BarNote(draw(pitches), at, length / 8, draw(st.booleans()), draw(words())) for at in beats
    ]
    bar = Bar.of(meter, found, length)
    offered = st.lists(chords, max_size=2).map(tuple)
    changes = (replace(change, alternates=draw(offered)) for change in bar.changes)
    held = draw(st.sets(st.integers(0, 5), max_size=1))
    signs = draw(st.sets(st.sampled_from(["segno", "coda", "vamp", "fine"]), max_size=2))
    return replace(
        bar,
        changes=tuple(changes),
        melody=tuple(melody),
        fermatas=tuple(Q(n, 6) * length for n in held),
        signs=tuple(signs),
    )


@st.composite
def sections(draw: st.DrawFn, name: str) -> Section:
    parts: list[Bar] = []
    for kind in draw(st.lists(st.sampled_from(REPEATS), min_size=1, max_size=3)):
        new = draw(st.lists(bars(), min_size=1, max_size=3))
        if kind in ("repeat", "three times"):
            new[0] = replace(new[0], opens=draw(st.booleans()))
            new[-1] = replace(new[-1], closes=2 if kind == "repeat" else 3)
        elif "endings" in kind:
            new = [replace(new[0], opens=True), *new[1:]]
            new += [
                replace(draw(bars()), ending=(1,)),
                replace(draw(bars()), ending=(1,), closes=2),
            ]
            new.append(replace(draw(bars()), ending=(2,)))
            new += [draw(bars())] if kind == "after endings" else []
        parts += new
        # Two groups of endings side by side would be one.
        parts.append(draw(bars()))
    # Words that go on are gone on with; a tied note has one word.
    return Section(name, settle_words(parts)[0])


@st.composite
def tunes(draw: st.DrawFn) -> Tune:
    letters = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=6)
    names = draw(st.lists(letters, min_size=1, max_size=3, unique=True))
    form = draw(st.lists(st.sampled_from(names), min_size=1, max_size=5))
    texts = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12)
    found = [draw(sections(name)) for name in names]
    sounding = Bar.of((4, 4), [(Chord.parse("C6"), Q(0))])
    jump = draw(st.sampled_from(["", "D.C.", "D.C. al fine", "D.S. al coda"]))
    # Each jump finds what it needs.
    sounding = replace(sounding, signs=("segno", "fine", "coda", "to coda"))
    last = replace(sounding, signs=(jump,) if jump else ())
    found[0] = Section(names[0], (sounding, *found[0].bars, last))
    return Tune(
        title=f"Title {draw(texts)}",
        key=Key(
            Note.from_fifths(draw(st.integers(-6, 6))), draw(st.sampled_from(["major", "minor"]))
        ),
        meter=draw(st.sampled_from(METERS)),
        tempo=draw(st.integers(10, 1000) | st.floats(10, 1000)),
        sections=tuple(found),
        order=tuple(form),
        composer=draw(texts),
        rights=draw(texts),
        notes=draw(texts),
    )


@pytest.mark.slow
@settings(max_examples=settings().max_examples // 3)
@given(tunes())
def test_text_to_tune_to_text_keeps_the_meaning(tune):
    text = write_text(tune)
    again = Tune.parse(text)
    assert again == tune
    assert write_text(again) == text


def test_a_pickup_without_a_chord_is_one_number():
    lead = Section(PICKUP, (Bar(0, (4, 4), Q(3, 2)),))
    tune = Tune(
        "T",
        Key.parse("C"),
        (4, 4),
        120,
        (lead, Section("A", (Bar.of((4, 4), [(Chord.parse("C"), Q(0))]),))),
    )
    text = write_text(tune)
    assert 'pickup = "3/2"' in text
    assert Tune.parse(text) == tune
    assert Tune.parse(text).pickup == Q(3, 2)


@pytest.mark.parametrize(
    ("meter", "starts", "expected"),
    [
        ((4, 4), [0, 2], "| C C |"),
        ((4, 4), [0, 3], "| C / / C |"),
        ((4, 4), [1], "| / C / / |"),
        ((4, 4), [0, Q(5, 2)], "| C@1 C@3.5 |"),
        ((4, 4), [0, Q(4, 3)], "| C@1 C@7/3 |"),
        ((6, 8), [0, Q(3, 2)], "| C C |"),
        ((6, 8), [0, 1], "| C / C / / / |"),
        ((3, 4), [0, Q(3, 2)], "| C C |"),
        ((4, 4), [], "| - |"),
    ],
)
def test_each_bar_takes_the_plainest_form(meter, starts, expected):
    bar = Bar.of(meter, [(Chord.parse("C"), Q(at)) for at in starts])
    assert write_changes((bar,), meter) == expected


def test_repeats_keep_their_signs_over_the_ends_of_lines():
    from harmonykit.errors import Place
    from harmonykit.tune.text.changes import read_changes

    text = "|: C | D | E | [1 F :|\n| [2 G || A |: B | C :|\n|: D :|x3 E |"
    bars, _ = read_changes(text, (4, 4), lambda index: Place())
    assert write_changes(bars, (4, 4)) == text


def test_a_word_that_a_tie_takes_out_ends_no_other() -> None:
    """The word begun before the tie goes on after it, as read again from the text."""
    sung = [
        BarNote(Note.parse("C4"), Q(0), Q(1), True, (Syllable("har", "begin"),)),
        BarNote(Note.parse("C4"), Q(1), Q(1), False, (Syllable("lost"),)),
        BarNote(Note.parse("D4"), Q(2), Q(1), False, (Syllable("bour"),)),
    ]
    (bar,), doubts = settle_words([replace(Bar.of((4, 4), []), melody=tuple(sung))])
    places = [[word.place for word in note.words] for note in bar.melody]
    assert places == [["begin"], [], ["end"]] and "'lost'" in doubts[0][1]
