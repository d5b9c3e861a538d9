"""The tunes on which arrangements are judged: forms that every player meets, reels and airs.

The first are invented.  Reels and airs are traditional melodies that music21 brings with it (Aird
1782, Ryan 1883); each of their bars is given the tonic, subdominant or dominant triad that holds
most of its melody, by beats.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from harmonykit.score.files import tune_from
from harmonykit.theory.chord import Chord
from harmonykit.tune.bar import Bar, BarChange
from harmonykit.tune.tune import Section, Tune

_INVENTED = {
    "Cooper's Blues": ("Bb", "4/4", 120, "| Bb7 | Eb7 | Bb7 | Bb7 | Eb7 | Eb7 | Bb7 | G7 |"
        " Cm7 | F7 | Bb7 G7 | Cm7 F7 |"),
    "Cooper's Plain Blues": ("F", "4/4", 100, "| F7 | Bb7 | F7 | F7 | Bb7 | Bb7 | F7 | F7 |"
        " C7 | Bb7 | F7 | C7 |"),
    "Tallow Blues": ("Cm", "4/4", 110, "| Cm7 | Cm7 | Cm7 | Cm7 | Fm7 | Fm7 | Cm7 | Cm7 |"
        " Ab7 | G7 | Cm7 | G7 |"),
    "Loft Changes": ("Bb", "4/4", 150, "|: Bb6 G7 | Cm7 F7 | Bb6 G7 | Cm7 F7 | Bb6 Bb7 |"
        " Eb6 Ebm6 | Bb6 F7 | Bb6 :| D7 | D7 | G7 | G7 | C7 | C7 | F7 | F7 | Bb6 G7 | Cm7 F7 |"
        " Bb6 G7 | Cm7 F7 | Bb6 Bb7 | Eb6 Ebm6 | Bb6 F7 | Bb6 |"),
    "Ferry Chain": ("C", "4/4", 116, "| Dm7 | G7 | Cmaj7 | Cmaj7 | Cm7 | F7 | Bbmaj7 | Bbmaj7 |"
        " Bbm7 | Eb7 | Abmaj7 | Abmaj7 | Am7b5 | D7 | Gm7 | Gm7 | Gm7 | C7 | Fmaj7 | Fm6 |"
        " Em7 | A7 | Dm7 | G7 | Cmaj7 | A7 | Dm7 | G7 | C6 | C6 | Dm7 G7 | C6 |"),
    "Awning Bossa": ("Dm", "4/4", 126, "| Dm7 | Dm7 | Gm7 | Gm7 | Em7b5 | A7 | Dm7 | Dm7 |"
        " Fm7 | Bb7 | Ebmaj7 | Ebmaj7 | Em7b5 | A7 | Dm7 | A7 |"),
    "Slow Harbour": ("Dm", "4/4", 130, "| Dm7 | Dm7 | Dm7 | Dm7 | Dm7 | Dm7 | Dm7 | Dm7 | Ebm7 |"
        " Ebm7 | Ebm7 | Ebm7 | Ebm7 | Ebm7 | Ebm7 | Ebm7 |"),
    "Sawyer's Waltz": ("G", "3/4", 112, "| G6 | Em7 | Am7 | D7 | G6 | E7 | Am7 | D7 | Bm7 | E7 |"
        " Am7 | Cm6 | G6 | D7 | G6 | G6 |"),
    "Lamp Ballad": ("Eb", "4/4", 66, "| Ebmaj7 C7 | Fm7 Bb7 | Gm7 C7 | Fm7 Bb7 | Ebmaj7 Eb7 |"
        " Abmaj7 Abm6 | Gm7 C7 | Fm7 Bb7 | Bbm7 | Eb7 | Abmaj7 | Abmaj7 | Am7 | D7 | Gm7 C7 |"
        " Fm7 Bb7 | Ebmaj7 C7 | Fm7 Bb7 | Gm7 C7 | Fm7 Bb7 | Ebmaj7 Eb7 | Abmaj7 Abm6 |"
        " Gm7 C7 Fm7 Bb7 | Eb6 |"),
}  # fmt: skip

_BALLAD = (
    "| G4:3 Bb4 | C5:2 Bb4:2 | D5:3 C5 | C5:2 D5:2 | G4:3 Bb4 | C5:2 B4:2 | Bb4:2 G4:2 | F4:4 |"
    " Db5:3 C5 | Bb4:2 G4:2 | C5:3 Bb4 | Ab4:4 | C5:3 B4 | A4:2 F#4:2 | Bb4:2 G4:2 | Ab4:2 F4:2 |"
    " G4:3 Bb4 | C5:2 Bb4:2 | D5:3 C5 | C5:2 D5:2 | Eb5:3 D5 | C5:2 B4:2 | Bb4 G4 Ab4 F4 | Eb4:4 |"
)
_WALTZ = (
    "| D4 G4 B4 | G4:3 | E4 A4 C5 | A4:3 | B4 D5 B4 | G#4:3 | A4 C5 A4 | F#4:3 | D5 B4 F#4 |"
    " G#4:3 | C5 B4 A4 | G4:3 | B4 A4 G4 | F#4:2 A4 | G4:3 | G4:3 |"
)
_MELODIES = {"Lamp Ballad": _BALLAD, "Sawyer's Waltz": _WALTZ}

_TRADITIONAL = (
    ("airdsAirs/book1.abc", 0), ("airdsAirs/book1.abc", 2), ("airdsAirs/book2.abc", 4),
    ("ryansMammoth/AcaciaReel.abc", 0), ("ryansMammoth/AllTheGoReel.abc", 0),
    ("ryansMammoth/AnnieHughesJig.abc", 0),
)  # fmt: skip


def played_tunes(*, traditional: bool = True) -> Iterator[Tune]:
    """Yield the tunes, the invented ones first."""
    for title, (key, meter, tempo, changes) in _INVENTED.items():
        melody = f'melody = "{_MELODIES[title]}"\n' if title in _MELODIES else ""
        yield Tune.parse(
            f'format = 1\ntitle = "{title}"\nkey = "{key}"\nmeter = "{meter}"\ntempo = {tempo}\n'
            f'[[sections]]\nname = "A"\nchanges = "{changes}"\n{melody}'
        )
    if traditional:
        for name, place in _TRADITIONAL:
            yield _harmonised(_read(name, place))


def _read(name: str, place: int) -> Tune:
    import music21

    text = (Path(music21.__file__).parent / "corpus" / name).read_text("utf-8", "ignore")
    tunes = [each for each in re.split(r"(?m)^(?=X:)", text) if re.search(r"(?m)^K:", each)]
    head, key, body = re.split(r"(?m)^(K:.*\n)", tunes[place], maxsplit=1)
    return tune_from("a.abc", f'{head}{key}"C"{body}'.encode())


def _harmonised(tune: Tune) -> Tune:
    """Return a melody with one of three triads a bar."""
    minor = tune.key.mode == "minor"
    tonic = tune.key.tonic
    triads = [
        Chord.parse(f"{tonic.transpose(step).name}{'m' if minor and step != 'P5' else ''}")
        for step in ("P1", "P4", "P5")
    ]
    sections = tuple(
        Section(part.name, tuple(_with_chord(bar, triads) for bar in part.bars))
        for part in tune.sections
    )
    return replace(tune, sections=sections)


def _with_chord(bar: Bar, triads: list[Chord]) -> Bar:
    def held(chord: Chord) -> Fraction:
        inside = (n.beats for n in bar.melody if n.note.pitch_class in chord.pcs)
        return sum(inside, Fraction(0))

    best = max(triads, key=held)  # of equal ones the tonic, then the subdominant
    return replace(bar, changes=(BarChange(best, Fraction(0), bar.length),))
