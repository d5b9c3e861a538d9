"""Headings as people type them: title, key, metre and tempo in any order; expected by hand."""

import re

import pytest

from harmonykit.errors import HarmonyError
from harmonykit.tune.text.pasted.lines import name_of
from harmonykit.tune.text.pasted.message import read_message
from harmonykit.tune.tune import Tune

MUSIC = "\n\nG | D7 | C | G\n"

# A heading, and its title, key, metre and tempo as a reader takes them.
SAID = {
    "Kites - in G - 96 bpm": ("Kites", "G major", (4, 4), 96),
    "Kites — 3/4 — Am — ♩=88": ("Kites", "A minor", (3, 4), 88),
    "96 bpm, key of G: Kites": ("Kites", "G major", (4, 4), 96),
    "3/4 - G - Kites - 96": ("Kites", "G major", (3, 4), 96),
    "Kites (G major, 3/4, 132)": ("Kites", "G major", (3, 4), 132),
    "Kites in B♭ – slow waltz": ("Kites", "Bb major", (3, 4), 120),
    "KITES - Waltz in G": ("KITES", "G major", (3, 4), 120),
    "Kites in G, 96": ("Kites", "G major", (4, 4), 96),
    "Kites\tG major\t4/4": ("Kites", "G major", (4, 4), 120),
    "Kites (G)": ("Kites", "G major", (4, 4), 120),
    "Kites [A minor] [96]": ("Kites", "A minor", (4, 4), 96),
    "Kites, in Em I think, 4/4, 100 bpm": ("Kites", "E minor", (4, 4), 100),
    "Hi Ann, Old Kites in A maybe, 96": ("Old Kites", "A major", (4, 4), 96),
    "Hi Ann, it's called Old Kites, and it's in D I think, about 92": (
        "Old Kites", "D major", (4, 4), 92,
    ),
    "Here's ours, it is called \"Kites\". Slow waltz, D, about 92": (
        "Kites", "D major", (3, 4), 92,
    ),
    "Kites - in G - form A B A - 96 bpm": ("Kites", "G major", (4, 4), 96),
    "Kites, Em": ("Kites", "E minor", (4, 4), 120),
    "Kites, in H-Moll": ("Kites", "B minor", (4, 4), 120),
    "Kites. Key of A flat. 96 bpm.": ("Kites", "Ab major", (4, 4), 96),
    "Key: G  Time: 6/8  Tempo: 80  Title: Kites": ("Kites", "G major", (6, 8), 80),
    "Song: Kites, key: Am, 3/4, 100 bpm": ("Kites", "A minor", (3, 4), 100),
    "Title: Waltz in G, 3/4": ("Waltz in G", "G major", (3, 4), 120),
    "Kites - Ann's way - in D": ("Kites - Ann's way", "D major", (4, 4), 120),
    "IMG_2041.jpg: Kites, page 3 of the blue book, in D": ("Kites", "D major", (4, 4), 120),
    "Subject: Fwd: Kites in D": ("Kites", "D major", (4, 4), 120),
    "From: Ann\nSubject: for tuesday\n\n>> Kites\n>> in D": ("Kites", "D major", (4, 4), 120),
    "Kites | Key G | 3/4 | 96": ("Kites", "G major", (3, 4), 96),
    "---- Forwarded message ----\nyes, Kites in D minor": ("Kites", "D minor", (4, 4), 120),
    "Hiya, here is the one I meant for thursday!! in D, 3/4, not too fast\nKites": (
        "Kites", "D major", (3, 4), 120,
    ),
    "Sam, this is what we sang on the last evening (in G, 96 bpm)\nKites": (
        "Kites", "G major", (4, 4), 96,
    ),
    "Good evening Sam, here it is. 3/4.\nKites in D": ("Kites", "D major", (3, 4), 120),
    # A beat of 6/8 is a dotted quarter: 60 of them last as long as 90 quarters.
    "Kites in G, 6/8, 60 bpm": ("Kites", "G major", (6, 8), 90),
    "Kites in G, 6/8, dotted quarter = 60": ("Kites", "G major", (6, 8), 90),
    "Kites in G, 6/8, ♩. = 60": ("Kites", "G major", (6, 8), 90),
    "Kites, key of Gm, in 3, quarter = 92": ("Kites", "G minor", (3, 4), 92),
    "Kites - Gm - 4/4 - Viertel = 92": ("Kites", "G minor", (4, 4), 92),
    "Kites, Gm, cut time, half note = 80": ("Kites", "G minor", (2, 2), 160),
    "Kites, G minor, common time, crotchet = ca. 92": ("Kites", "G minor", (4, 4), 92),
    "Kites, in G minor, 3/4 time, around 100 bpm": ("Kites", "G minor", (3, 4), 100),
    "Half Kites in G, 4/4": ("Half Kites", "G major", (4, 4), 120),
    "Kites in G, 6/8, ♩=60": ("Kites", "G major", (6, 8), 60),
    "[30/11, 17:02] Jo: here you go x\n[30/11, 17:03] Jo: Kites - in D, 96 bpm": (
        "Kites", "D major", (4, 4), 96,
    ),
    "30.11.26, 5:03 pm - Jo Bell: Kites in D": ("Kites", "D major", (4, 4), 120),
    "Hi Ann, here is the one in D:": ("Untitled", "D major", (4, 4), 120),
}  # fmt: skip
# Titles that look like more, and say no key, metre or tempo.
TITLES = (
    "Low Tide - Rag", "A Minor Mishap", "Pier 66", "Key Rock", "By Tuesday", "Hello Harbour",
    "Slow Boat", "Bells, Books - 3", "Nine, 10", "In A Hurry",
)  # fmt: skip


@pytest.mark.parametrize("heading", SAID)
def test_a_heading_says_what_it_says_in_any_order(heading: str) -> None:
    said = read_message(heading + MUSIC)
    assert (said.title, str(said.key), said.meter, said.tempo) == SAID[heading]
    assert not any("key is taken" in doubt for doubt in said.doubts)
    assert [len(section.bars) for section in said.sections] == [4]


@pytest.mark.parametrize("title", TITLES)
def test_a_title_is_kept_whole(title: str) -> None:
    said = read_message(title + MUSIC)
    assert (said.title, said.meter, said.tempo) == (title, (4, 4), 120)
    assert any("key is taken" in doubt for doubt in said.doubts)


def test_a_heading_may_stand_below_the_music() -> None:
    said = read_message("Verse: G D7 C G\nKites, 3/4, D")
    assert (said.title, str(said.key), said.meter) == ("Kites", "D major", (3, 4))


@pytest.mark.parametrize("line", ["by Ann Bell", "Kites, by Ann Bell", "Words & music: Ann Bell"])
def test_who_wrote_it_is_kept_for_the_score(line: str) -> None:
    assert Tune.parse(line + MUSIC).composer == "Ann Bell"
    assert Tune.parse("Send it by Tuesday" + MUSIC).composer == ""


@pytest.mark.parametrize("line", ["Drachen, in B-Dur", "Drachen (German names)", "Drachen, H = B"])
def test_german_names_are_read_where_they_are_said(line: str) -> None:
    tune = Tune.parse(line + "\nB F7 Gm F7")
    assert [str(chord) for chord in tune.chords] == ["Bb", "F7", "Gm"]
    plain = Tune.parse("Drachen, in Bb\nB F7 Gm F7")
    assert str(plain.chords[0]) == "B"


@pytest.mark.parametrize(
    "line", ["Drachen (German names)", "Drachen - English names - in C", "Drachen, German names"]
)
def test_what_chords_are_called_is_no_part_of_a_title(line: str) -> None:
    assert Tune.parse(line + MUSIC).title == "Drachen"
    alone = Tune.parse(line.removeprefix("Drachen").strip(" ()-,") + MUSIC)
    assert "names" not in alone.title


def test_what_is_taken_for_german_is_told_with_what_undoes_it() -> None:
    typed = "Drachen\n| C | Am7 Fis | B7 | Es |"
    (told,) = (each for each in Tune.parse(typed).doubts if each.startswith("chord names"))
    (undo,) = re.findall('write "(.*?)" above the bars', told)
    with pytest.raises(HarmonyError, match="Fis"):
        Tune.parse(f"{undo}\n{typed}")
    letters = Tune.parse(f"{undo}\n" + "Drachen, in B-Dur\n| B | E | B |")
    assert [str(chord) for chord in letters.chords] == ["B", "E"]
    # Where it was said, or where nothing undoes it, nothing is offered.
    for other in (f"German names\n{typed}", "| a | d | E7 | a |", "| Do | Sol7 | Do |"):
        assert not any("write" in each for each in Tune.parse(other).doubts)


def test_chords_named_in_a_sentence_are_read_where_nothing_else_is_music() -> None:
    typed = "hey, chords are G, D7, C, G then Em, Am7 and D7. A bit fast, and it's in G about 96"
    tune = Tune.parse(typed)
    assert [str(c.chord) for c in tune.changes] == "G D7 C G Em Am7 D7".split()
    assert (str(tune.key), tune.tempo) == ("G major", 96)
    with_bars = Tune.parse(typed + "\n| F | C7 |")
    assert [str(chord) for chord in with_bars.chords] == ["F", "C7"]


@pytest.mark.parametrize(
    "piece", ["Title: ", "Kites (", "in G - ", "Re: ", " ", "words & music: A"]
)
def test_a_line_without_end_is_no_heading(piece: str) -> None:
    assert [chord.symbol for chord in Tune.parse(piece * 4_000 + "x" + MUSIC).chords] == [
        "G", "D7", "C"
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "title", "key", "metre"),
    [
        ("Kites / F / 3/4", "Kites", "F major", (3, 4)),
        ("Kites - F - 3/4", "Kites", "F major", (3, 4)),
        ("Kites - F#m", "Kites", "F# minor", (4, 4)),
        ("Kites/F/3/4", "Kites", "F major", (3, 4)),
        ("Low Tide/F#m", "Low Tide", "F# minor", (4, 4)),
        ("Kites and/or Gulls", "Kites and/or Gulls", "G major", (4, 4)),
        ("F - Kites", "Kites", "F major", (4, 4)),
        ("Bb - Kites - waltz", "Kites", "Bb major", (3, 4)),
        ("kites in f", "kites", "F major", (4, 4)),
        ("low tide rag in bb minor", "low tide rag", "Bb minor", (4, 4)),
        ("kites, in f, 3/4", "kites", "F major", (3, 4)),
        # A section's letter, a sentence, chords.
        ("A - Kites", "A - Kites", "G major", (4, 4)),
        ("play it in f", "Untitled", "G major", (4, 4)),
        ("kites in a box", "Untitled", "G major", (4, 4)),
    ],
)
def test_a_heading_in_parts_or_in_small_letters(
    line: str, title: str, key: str, metre: tuple[int, int]
) -> None:
    tune = Tune.parse(f"{line}\n\n| G | C | D7 | G |\n")
    assert (tune.title, str(tune.key), tune.meter) == (title, key, metre)
    assert len(tune.bars) == 4


@pytest.mark.parametrize("line", ["Cmaj7 - G", "Verse - G", "G - / - Am"])
def test_chords_with_signs_between_them_are_no_heading(line: str) -> None:
    tune = Tune.parse(f"{line}\n| G | C | D7 | G |\n")
    assert tune.title == "Untitled" and len(tune.bars) > 4


def test_a_line_of_a_million_blanks_is_no_name() -> None:
    """What was sought at each blank anew would never come to an end."""
    assert name_of(" " * 1_000_000 + "x") == ("", 1)


@pytest.mark.parametrize(
    ("line", "title", "key", "metre", "composer"),
    [
        ("C - Kites", "Kites", "C major", (4, 4), ""),
        ("KITES IN G", "KITES", "G major", (4, 4), ""),
        ("Kites in D by Ann Bell", "Kites", "D major", (4, 4), "Ann Bell"),
        ("Kites by Ann Ludd - G", "Kites", "G major", (4, 4), "Ann Ludd"),
        ("Day by Day - G", "Day by Day", "G major", (4, 4), ""),
        ("House by Loch Lune - G", "House by Loch Lune", "G major", (4, 4), ""),
        ("Kites / d / 3/4", "Kites", "D major", (3, 4), ""),
        ("Kites -- key: Gm -- 3/4", "Kites", "G minor", (3, 4), ""),
        ("Kites, in the key of Bb", "Kites", "Bb major", (4, 4), ""),
    ],
)
def test_a_key_and_a_composer_are_kept_out_of_the_title(
    line: str, title: str, key: str, metre: tuple[int, int], composer: str
) -> None:
    tune = Tune.parse(f"{line}\n\n| G | C | D7 | G |\n")
    assert (tune.title, str(tune.key), tune.meter, tune.composer) == (title, key, metre, composer)
    assert len(tune.bars) == 4


@pytest.mark.parametrize(
    ("before", "title", "key", "section"),
    [
        ("D - Kites ", "Kites", "D major", "A"),
        ("Kites in D ", "Kites", "D major", "A"),
        ("kites in d ", "kites", "D major", "A"),
        ("Kites (D) ", "Kites", "D major", "A"),
        ("Kites - D - 4/4 ", "Kites", "D major", "A"),
        ("Kites: ", "Kites", "G major", "A"),
        # A section's name is no title.
        ("Verse: ", "Untitled", "G major", "Verse"),
    ],
)
def test_a_heading_may_stand_in_the_row_of_the_bars(
    before: str, title: str, key: str, section: str
) -> None:
    tune = Tune.parse(f"{before}| G | C D7 | G |")
    assert (tune.title, str(tune.key)) == (title, key)
    assert [(part.name, len(part.bars)) for part in tune.sections] == [(section, 3)]
    assert [chord.symbol for chord in tune.chords] == ["G", "C", "D7"]  # no minor by a small letter


@pytest.mark.parametrize(
    ("line", "key", "tempo"),
    [
        ("hi, it's in D I think, waltz time, not fast (about 100)", "D major", 100),
        ("so it's in C# minor I'm told", "C# minor", 120),
        ("I play it in Gm, 4/4, about 92, not too fast", "G minor", 92),
        ("In Gm but not too fast", "G minor", 120),
        ("it's in B flat for Jo", "Bb major", 120), ("It's in A I think", "A major", 120),
        ("we do it a lot, it is in F minor on the record but fine", "F minor", 120),
        # Not keys: an article, other words.
        ("it's in A box in the hall", "G major", 120), ("it's in Dora's book", "G major", 120),
    ],
)  # fmt: skip
def test_a_key_that_a_sentence_says_is_taken_whatever_follows(
    line: str, key: str, tempo: int
) -> None:
    tune = Tune.parse(f"{line}\n\nKites\n\n| G | C | D7 | G |\n")
    assert (str(tune.key), tune.tempo, tune.title) == (key, tempo, "Kites")
