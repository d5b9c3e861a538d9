"""The facts of a chord as text for a terminal of 80 columns.

Accidentals are printed as ♭ and ♯, twice where there are two: few terminal fonts have 𝄫 and 𝄪.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator

from harmonykit.cli.chord import Facts

WIDTH = 80
MOST_SHAPES = 16
_INDENT = 12


def to_text(known: Facts) -> str:
    """Return the facts of :func:`harmonykit.cli.chord.facts` as lines of at most 80 columns.

    Examples
    --------
    >>> from harmonykit.cli.chord import facts
    >>> print(to_text(facts("G7", "ukulele")).splitlines()[2])
    tones       G  B  D  F
    """
    lines = [_headline(known), "", *_tones(known)]
    lines += _diminished(known) if "parents" in known else _other(known)
    return "\n".join([*lines, "", *_shapes(known)])


def printed(text: str) -> str:
    """Return a symbol or a note name as it is printed: ♭ for b, ♯ for #, ° for dim.

    Examples
    --------
    >>> printed("Bbm7b5"), printed("Ebb"), printed("F#dim7")
    ('B♭m7♭5', 'E♭♭', 'F♯°7')
    """
    named = re.sub(r"(?<=[A-G])b+", lambda found: "♭" * len(found.group()), text)
    altered = re.sub(r"b+(?=\d)", lambda found: "♭" * len(found.group()), named)
    return altered.replace("#", "♯").replace("dim", "°")


def _headline(known: Facts) -> str:
    name = printed(known["symbol"])
    typed = known["symbol"]
    return name if name == typed else f"{name}   (typed {typed})"


def _row(label: str, text: str) -> list[str]:
    """Return a label with its text, wrapped under itself."""
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=label.ljust(_INDENT),
        subsequent_indent=" " * _INDENT,
        break_long_words=False,
        fix_sentence_endings=False,
    )


def _tones(known: Facts) -> Iterator[str]:
    tones = known["tones"]
    names = [printed(tone["note"]) for tone in tones]
    degrees = [printed(tone["degree"]) for tone in tones]
    widths = [max(len(a), len(b)) for a, b in zip(names, degrees, strict=True)]
    for label, cells in (("tones", names), ("degrees", degrees)):
        padded = (cell.ljust(width) for cell, width in zip(cells, widths, strict=True))
        yield (label.ljust(_INDENT) + "  ".join(padded)).rstrip()
    if known["bass"] != tones[0]["note"]:
        yield from _row("bass", printed(known["bass"]))
    yield from _row("set class", known["set_class"])
    for doubt in known["doubts"]:
        yield from _row("doubt", doubt)


def _move(pair: list[str], verb: str) -> str:
    return f"{printed(pair[0])} {verb} to {printed(pair[1])}"


def _diminished(known: Facts) -> Iterator[str]:
    yield "\nLower one note by a semitone: a dominant seventh, and where that leads"
    for parent in known["parents"]:
        voices = ", ".join("–".join(map(printed, move)) for move in parent["moves"])
        fact = f"{_move(parent['lowered'], 'falls')}; leads to {printed(parent['leads_to'])}"
        yield from _row("  " + printed(parent["chord"]), f"{fact}: {voices}")
    yield "\nRaise one note by a semitone: a minor sixth, also a half-diminished seventh"
    for sixth in known["minor_sixths"]:
        name = f"{_move(sixth['raised'], 'rises')}; also {printed(sixth['also'])}"
        yield from _row("  " + printed(sixth["chord"]), name)


def _other(known: Facts) -> Iterator[str]:
    yield ""
    if "leads_to" in known:
        own = printed(known["its_diminished"])
        text = f"{printed(known['leads_to'])}; with a flat ninth and without its root it is {own}"
        yield from _row("leads to", text)
    ways = {"below": "a semitone below", "above": "a semitone above", "same": "on its own root"}
    led = [f"{printed(known['led_to_by'][side])} {words}" for side, words in ways.items()]
    yield from _row("led to by", ", ".join(led))


def _shapes(known: Facts) -> Iterator[str]:
    shapes = known["shapes"]
    yield from textwrap.wrap(_title(known), WIDTH)
    if not shapes:
        return
    rows = [("frets", "fingers", "stretch", "notes"), *map(_cells, shapes[:MOST_SHAPES])]
    widths = [max(len(row[i]) for row in rows) for i in range(3)]
    lines = ["  " + "  ".join([*map(str.ljust, row[:3], widths), row[3]]) for row in rows]
    # Ten strings high up the neck: the frets alone say it all, the notes would run over.
    roomy = max(map(len, lines)) <= WIDTH
    yield from lines if roomy else ("  " + row[0] for row in rows)
    if len(shapes) > MOST_SHAPES:
        yield f"  and {len(shapes) - MOST_SHAPES} more; --json lists them all"


def _title(known: Facts) -> str:
    name, tuning = known["instrument"]["name"], printed(known["instrument"]["tuning"])
    typed = any(character.isdigit() for character in name)
    where = f"on {name}" if typed else f"on the {name}, {tuning}"
    spared = ", ".join(map(printed, known["may_be_missing"]))
    count = len(known["shapes"])
    if not count:
        without = f", even without {spared}" if spared else ""
        return f"No shape {where}, within 12 frets{without}, that four fingers hold"
    without = f"; not all of them sound {spared}" if spared else ""
    return f"{count} {'shape' if count == 1 else 'shapes'} {where}{without}"


def _cells(shape: Facts) -> tuple[str, str, str, str]:
    fingers = "".join("x" if finger is None else str(finger) for finger in shape["fingers"])
    notes = " ".join("x" if note is None else printed(note) for note in shape["notes"])
    return shape["digits"], fingers, f"{shape['stretch_mm']:.0f} mm", notes
