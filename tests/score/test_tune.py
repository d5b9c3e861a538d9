"""A tune from a score's plain data: sections, key, tempo, doubts."""

from __future__ import annotations

import pytest

from harmonykit.score.tune import build_tune
from harmonykit.tune.bar import TuneError
from harmonykit.tune.tune import Tune


def bar(*typed: str, length: str = "4", **more: object) -> dict:
    chords = [{"typed": text, "at": str(n)} for n, text in enumerate(typed)]
    plain = {"meter": [4, 4], "opens": False, "closes": 0, "ending": [], "notes": []}
    return {"chords": chords, "length": length, **plain, **more}


def tune(*bars: dict, **more: object) -> Tune:
    score = {
        "title": "Trial", "composer": "", "rights": "", "tempo": "100", "shift": [0, 0],
        "key": {"fifths": 0, "mode": "major"}, "bars": list(bars), "doubts": [], **more,
    }  # fmt: skip
    return build_tune(score, "trial.abc")


def names(found: Tune) -> list[tuple[str, int]]:
    return [(section.name, len(section.bars)) for section in found.sections]


@pytest.mark.parametrize(
    ("fifths", "mode", "expected", "doubtful"),
    [
        (2, "major", "D major", False),
        (-3, "minor", "C minor", False),
        (2, "dorian", "E minor", True),
        (2, "mixolydian", "A major", True),
        (-1, "lydian", "Bb major", True),
        (-7, "major", "B major", False),  # C flat has seven flats
        (0, "", "C major", True),
        (9, "major", "C major", True),
    ],
)
def test_keys(fifths, mode, expected, doubtful):
    # Signatures and modes by the circle of fifths (elementary theory).
    found = tune(bar("C"), key={"fifths": fifths, "mode": mode})
    assert str(found.key) == expected
    assert bool(found.doubts) == doubtful


def test_without_a_mode_the_last_chord_tells():
    assert str(tune(bar("C"), bar("Am"), key={"fifths": 0, "mode": ""}).key) == "A minor"
    assert str(tune(bar("Am"), bar("C"), key={"fifths": 0, "mode": ""}).key) == "C major"


def test_a_transposing_part_is_read_in_the_sounding_key():
    found = tune(bar("D7"), key={"fifths": 2, "mode": "major"}, shift=[-1, -2])
    assert (str(found.key), found.changes[0].chord.symbol) == ("C major", "C7")


@pytest.mark.parametrize(
    ("given", "tempo"), [("90", 90), ("145/2", 72.5), ("", 120), ("5000", 120)]
)
def test_tempo(given, tempo):
    found = tune(bar("C"), tempo=given)
    assert found.tempo == tempo
    assert bool(found.doubts) == (tempo == 120)


def test_labels_make_sections_and_an_order_of_parts_makes_the_form():
    bars = [bar("C", label="A"), bar("F"), bar("G", label="B"), bar("C")]
    found = tune(*bars, form="(A.B)2A")
    assert names(found) == [("A", 2), ("B", 2)]
    assert found.order == ("A", "B", "A", "B", "A")
    assert tune(*bars, form="A3B").order == ("A", "A", "A", "B")
    assert "is ignored" in tune(*bars, form="AX").doubts[0]


def test_a_label_inside_a_repeat_makes_no_section():
    bars = [bar("C", label="A"), bar("F", label="B", closes=2), bar("G", label="C")]
    assert names(tune(*bars)) == [("A", 2), ("C", 1)]
    assert tune(*bars).doubts == ("bar 2: B is inside a repeat; no section begins there",)
    opened = [bar("C", label="A"), bar("F", label="B", closes=2, opens=True), bar("G", label="A")]
    assert names(tune(*opened)) == [("A", 1), ("B", 1), ("A 2", 1)]


@pytest.mark.parametrize(
    ("first", "second", "read"),
    [
        ([1], [3], [(1,), (2,)]),
        ([1], [1], [(1,), (2,)]),
        ([1, 2], [2, 4], [(1, 2), (3,)]),
        ([2], [3], [(1,), (2,)]),
    ],
)
def test_endings_with_wrong_numbers_are_read_in_their_order(first, second, read):
    found = tune(bar("C", opens=True), bar("F", ending=first, closes=2), bar("G", ending=second))
    assert [b.ending for b in found.bars[1:]] == read
    passes = max(read[-1])
    assert len(found.changes) == 2 * passes
    assert "is read as ending" in found.doubts[0]


def test_an_ending_before_another_goes_back_without_a_sign():
    # ABC standard 2.1, 4.10: an ending may end with ||; part A is played with each ending once.
    bars = [
        bar("C", label="A"),
        bar("F", ending=[1, 3]),
        bar("G", ending=[2]),
        bar("E", ending=[4]),
    ]
    found = tune(*bars, form="A4")
    assert [c.chord.symbol for c in found.changes] == ["C", "F", "C", "G", "C", "F", "C", "E"]
    assert (found.order, found.doubts) == (("A",), ())


def test_a_chord_that_is_never_played_is_no_chord():
    with pytest.raises(TuneError, match="no chords"):
        tune(bar(label="A"), bar("C", label="B"), form="A")


def test_bars_of_another_length_are_doubts_but_not_pickups_and_halves():
    short = [bar("C", length="1"), bar("D"), bar("E", length="3"), bar("F", length="1"), bar("G")]
    assert tune(*short).doubts == ()
    assert tune(*short, bar("A", length="3")).doubts == ()
    assert tune(bar("C"), bar("D", length="5")).doubts == (
        "bar 2: 5 quarter notes, where a bar of 4/4 has 4",
    )


def test_bars_before_the_first_chord_are_doubts():
    assert tune(bar(), bar(), bar("C")).doubts == ("bars 1 to 2: no chord yet",)
    assert tune(bar(length="1"), bar("C")).doubts == ()
    late = bar() | {"chords": [{"typed": "C", "at": "2"}]}
    assert tune(late).doubts == ("bar 1: no chord in its first 2 quarter notes",)


def test_free_time_has_a_metre_that_holds_the_bar():
    found = tune(bar("C", meter=None, length="7/2"), bar("C", meter=None, length="5"))
    assert [b.meter for b in found.bars] == [(7, 8), (5, 4)]


def test_a_melody_note_that_does_not_fit_is_a_doubt():
    notes = [
        {"note": ["C4", "E4"], "at": "0", "beats": "3", "tied": False},
        {"note": ["G4"], "at": "2", "beats": "1", "tied": False},
        {"note": ["Q4"], "at": "3", "beats": "1", "tied": False},
    ]
    found = tune(bar("C", notes=notes))
    assert [str(s.note) for s in found.melody] == ["E4"]
    assert len(found.doubts) == 2


def test_the_name_of_the_file_is_the_title_of_last_resort():
    assert tune(bar("C"), title=" ").title == "trial"


@pytest.mark.parametrize(
    ("bars", "message"),
    [
        ([bar()], "no chords"),
        ([bar("Fine")], "no chords"),
        ([bar("N.C.")], "no chords"),
        ([bar("C", length="65")], "bar lines are missing"),
        ([bar("C")] * 5001, "more than 5000 bars"),
    ],
)
def test_what_is_no_tune_is_refused(bars, message):
    with pytest.raises(TuneError, match=message):
        tune(*bars)


def test_a_section_that_begins_inside_a_repeat_is_told():
    """A repeat without a sign before it goes back to the repeat before (ABC standard 2.1, 4.8)."""
    bars = (
        bar("C", opens=True, label="A"), bar("F", closes=2),
        bar("G"), bar("C", label="B"), bar("E", closes=2), bar("D", label="C"),
    )  # fmt: skip
    found = tune(*bars)
    assert names(found) == [("A", 5), ("C", 1)]
    assert any("B is inside a repeat; no section begins there" in each for each in found.doubts)
    beside = tune(bars[0], bars[1], bar("G", label="B"), bar("C", closes=2))
    assert names(beside) == [("A", 2), ("B", 2)] and beside.doubts == ()


def sung(*notes: tuple, **more: object) -> dict:
    """Return a bar of notes of name, start, length and whether each is tied on, under a chord."""
    rows = [
        {"note": [name], "at": str(at), "beats": str(beats), "tied": tied, "words": words}
        for name, at, beats, tied, *rest in notes
        for words in (rest[0] if rest else [],)
    ]
    return bar("C", notes=rows, **more)


def melody(found: Tune) -> list[tuple]:
    return [(str(n.note), n.onset, n.beats) for n in found.melody]


def test_values_that_are_tied_are_one_note_wherever_they_stand():
    """By hand: G, then C held for a quarter and a half, then three values of E."""
    found = tune(sung(
        ("G4", 0, "1/2", False), ("C5", "1/2", 1, True), ("C5", "3/2", "1/2", False),
        ("E5", 2, "1/2", True), ("E5", "5/2", "1/2", True), ("E5", 3, 1, False),
    ))  # fmt: skip
    assert melody(found) == [("G4", 0, 0.5), ("C5", 0.5, 1.5), ("E5", 2, 2)]
    # Another note, a gap, or no tie: two notes.
    for second in (("D5", 1, 1, False), ("C5", 2, 1, False)):
        assert len(melody(tune(sung(("C5", 0, 1, True), second)))) == 2
    assert len(melody(tune(sung(("C5", 0, 1, False), ("C5", 1, 1, False))))) == 2


def test_a_word_on_the_second_of_two_tied_values_is_told():
    word = [["la", "single", 1]]
    found = tune(sung(("C5", 0, 1, True, word), ("C5", 1, 1, False, [["loo", "single", 1]])))
    assert [w.text for w in found.melody[0].words] == ["la"]
    assert found.doubts == ("bar 1: the syllable 'loo' on a tied note is left out",)


def test_words_that_no_note_can_bear_are_told():
    twice = [["la", "single", 1], ["lo", "single", 1], ["li", "single", 2]]
    found = tune(sung(("C5", 0, 1, False, twice)))
    assert [(w.text, w.verse) for w in found.melody[0].words] == [("la", 1), ("li", 2)]
    assert found.doubts == ("bar 1: the syllable 'lo' of verse 1 is left out",)
    # A syllable that is held has no letters, one that is sung has some.
    held = tune(
        sung(("C5", 0, 1, False, [["", "single", 1]]), ("D5", 1, 1, False, [["a", "held", 1]]))
    )
    assert len(held.doubts) == 2 and not any(n.words for n in held.melody)


@pytest.mark.parametrize(
    ("at", "beats", "fits"),
    [("0", "4", True), ("1", "3", True), ("1", "7/2", False), ("4", "1", False), ("0", "0", False)],
)
def test_a_note_fits_up_to_the_end_of_its_bar(at, beats, fits):
    found = tune(sung(("C5", at, beats, False)))
    assert bool(found.melody) == fits and bool(found.doubts) == (not fits)


def test_of_notes_together_the_highest_is_kept():
    rows = [{"note": ["E5", "C4", "G5", "A4"], "at": "0", "beats": "1", "tied": False}]
    assert melody(tune(bar("C", notes=rows))) == [("G5", 0, 1)]


def test_a_label_in_an_ending_begins_no_section():
    bars = [
        bar("C", label="A", opens=True), bar("F", ending=[1], closes=2),
        bar("G", ending=[2], label="B"), bar("C", label="C"),
    ]  # fmt: skip
    found = tune(*bars)
    assert names(found) == [("A", 3), ("C", 1)]
    assert found.doubts == ("bar 3: B is inside a repeat; no section begins there",)


def test_a_bar_that_opens_a_repeat_may_begin_a_section_and_one_after_it_may_too():
    bars = [
        bar("C", label="A"), bar("F", opens=True, label="B"), bar("G", closes=2),
        bar("C", label="C"), bar("C"),
    ]  # fmt: skip
    assert names(tune(*bars)) == [("A", 1), ("B", 2), ("C", 2)]
    assert tune(*bars).doubts == ()


def test_sections_without_a_label_are_a_and_those_alike_are_counted():
    assert names(tune(bar("C"), bar("F"))) == [("A", 2)]
    thrice = tune(*(bar("C", label="Verse") for _ in range(3)))
    assert names(thrice) == [("Verse", 1), ("Verse 2", 1), ("Verse 3", 1)]


@pytest.mark.parametrize(
    ("form", "order"),
    [
        ("AB", "AB"), ("A2B", "AAB"), ("(AB)2", "ABAB"), ("((AB)2A)2", "ABABAABABA"),
        ("A.B", "AB"), ("A B A", "ABA"), ("(A)B", "AB"),
    ],
)  # fmt: skip
def test_orders_of_parts_are_written_out(form, order):
    """ABC standard 2.1, 3.1.9: a number repeats a letter or a group."""
    bars = [bar("C", label="A"), bar("F", label="B")]
    assert tune(*bars, form=form).order == tuple(order)
    assert "".join(tune(*bars).order) == "AB"


def test_an_order_that_is_far_too_long_is_not_followed():
    bars = [bar("C", label="A"), bar("F", label="B")]
    found = tune(*bars, form="((((AB)9)9)9)9")
    assert found.order == ("A", "B") and "is ignored" in found.doubts[0]
    # Two hundred parts may be, more may not.
    assert len(tune(*bars, form="(" + "A" * 40 + ")5").order) == 200
    assert len(tune(*bars, form="(" + "A" * 67 + ")3").order) == 2


def test_marks_are_kept_within_their_bounds():
    bars = [bar("C", opens=True, fermatas=["0", "4", "7/2"]), bar("F", closes=200)]
    found = tune(*bars).bars
    assert found[0].opens and found[0].fermatas == (0, 3.5)
    assert 2 < found[1].closes < 100
    assert not found[0].closes and not found[1].opens


def test_chords_offered_go_to_the_chord_that_sounds():
    first = bar() | {"chords": [
        {"typed": "C", "at": "0"}, {"typed": "Am", "at": "0", "alternate": True},
        {"typed": "F", "at": "2"}, {"typed": "Dm", "at": "2", "alternate": True},
        {"typed": "Bb", "at": "3", "alternate": True},
    ]}  # fmt: skip
    found = tune(first, bar("G"))
    told = [
        (c.chord.symbol, [a.symbol for a in c.alternates]) for b in found.bars for c in b.changes
    ]
    assert told == [("C", ["Am"]), ("F", ["Dm", "Bb"]), ("G", [])]


@pytest.mark.parametrize(
    ("length", "meter"),
    [
        ("4", (4, 4)),
        ("3", (3, 4)),
        ("1/2", (1, 8)),
        ("9/4", (9, 16)),
        ("1/8", (1, 32)),
        ("1/3", (4, 4)),
    ],
)
def test_free_time_takes_the_coarsest_metre_that_holds_the_bar(length, meter):
    assert tune(bar("C", meter=None, length=length)).bars[0].meter == meter
    assert tune(bar("C", meter=[5, 3], length="4")).bars[0].meter == (4, 4)
    assert tune(bar("C", meter=[32, 8], length="16")).bars[0].meter == (32, 8)
    assert tune(bar("C", meter=[33, 8], length="4")).bars[0].meter == (4, 4)


def test_how_long_a_tune_has_no_chord_yet():
    assert tune(bar(), bar("C")).doubts == ("bar 1: no chord yet",)
    assert tune(bar("C")).doubts == ()
    pickup = bar(length="1") | {"chords": []}
    late = bar(length="1") | {"chords": [{"typed": "C", "at": "1/2"}]}
    assert tune(pickup, bar("C")).doubts == () == tune(late, bar("C")).doubts


def test_names_of_a_file_of_ours_give_its_form_back():
    bars = [bar("C", label="A"), bar("F", label="B"), bar("C", label="A 2")]
    found = tune(*bars, names="A|B|A")
    assert found.order == ("A", "B", "A") and [s.name for s in found.sections] == ["A", "B"]
    # Sections that differ cannot be one: they stay as they are written.
    other = [bar("C", label="A"), bar("F", label="B"), bar("G", label="A 2")]
    assert tune(*other, names="A|B|A").order == ("A", "B", "A 2")
    assert tune(*bars, names="A|B").order == ("A", "B", "A 2")


@pytest.mark.parametrize("tempo", ["20", "300", "5", "1000"])
def test_a_tempo_is_kept_from_the_slowest_to_the_fastest(tempo):
    from harmonykit.tune.tune import FASTEST, SLOWEST

    found = tune(bar("C"), tempo=tempo)
    kept = SLOWEST <= int(tempo) <= FASTEST
    assert found.tempo == (int(tempo) if kept else 120)
    assert any(f"a tempo of {tempo}" in doubt for doubt in found.doubts) is not kept
    for edge in (SLOWEST, FASTEST):
        assert tune(bar("C"), tempo=str(int(edge))).tempo == int(edge)


def test_a_bar_may_have_64_quarters():
    assert tune(bar("C", meter=None, length="64")).bars[0].length == 64
    assert len(tune(*[bar("C")] * 5000).bars) == 5000


def test_words_about_a_tune_are_stripped_and_kept():
    found = tune(bar("C"), title=" Row ", composer=" N. Harrow ", rights=" free ", notes="slowly")
    assert (found.title, found.composer, found.rights) == ("Row", "N. Harrow", "free")
    assert found.notes == "slowly"


def test_a_last_bar_is_short_only_beside_a_pick_up_that_it_completes():
    whole, short = bar("C"), bar("D", length="3")
    assert tune(whole, short).doubts == ("bar 2: 3 quarter notes, where a bar of 4/4 has 4",)
    assert tune(bar("C", length="1"), whole, short).doubts == ()
    assert tune(bar("C", length="1"), whole, bar("D", length="2")).doubts == (
        "bar 2: 2 quarter notes, where a bar of 4/4 has 4",
    )


def test_a_mark_over_the_first_whole_bar_names_the_part_of_its_pick_up():
    """A mark stands over the bar where a part begins, a pick-up before it (MusicXML: rehearsal)."""
    bars = [bar(length="1"), bar("C", label="A"), bar("F"), bar("G", label="B")]
    assert names(tune(*bars)) == [("A", 3), ("B", 1)]
    repeated = [bar(length="1", opens=True), bar("C", label="A", closes=2), bar("G", label="B")]
    assert names(tune(*repeated)) == [("A", 2), ("B", 1)]
    assert not any("inside a repeat" in doubt for doubt in tune(*repeated).doubts)
    whole = [bar("C"), bar("F", label="A")]
    assert names(tune(*whole)) == [("A", 1), ("A 2", 1)]


@pytest.mark.parametrize(("last", "doubted"), [("3", False), ("2", True)])
def test_a_bar_that_goes_back_to_a_pick_up_is_completed_by_it(last, doubted):
    """As jigs are written, both are one bar together (common practice, no source)."""
    first = [bar(length="1", opens=True), bar("C"), bar("F", ending=[1], closes=2, length=last)]
    found = tune(*first, bar("F", ending=[2]), bar("G"))
    assert any("quarter notes, where a bar" in doubt for doubt in found.doubts) == doubted


def test_a_part_that_begins_after_the_first_bar_of_the_last_ending_ends_it():
    """Written without the ``||`` that ends a last ending (ABC standard 2.1, 4.10)."""
    rows = [
        bar("C", label="A", opens=True), bar("F", ending=[1], closes=2), bar("G", ending=[2]),
        bar("C", ending=[2], label="B"), bar("F", ending=[2]),
    ]  # fmt: skip
    found = tune(*rows)
    assert names(found) == [("A", 3), ("B", 2)] and found.doubts == ()
    assert [each.bar.number for each in found.playing] == [1, 2, 1, 3, 4, 5]
    back = [*rows[:4], bar("F", ending=[2], closes=2)]
    assert names(tune(*back)) == [("A", 5)]
