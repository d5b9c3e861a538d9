"""The facts of a chord as text for a terminal of 80 columns."""

import re
import textwrap
from collections.abc import Iterator, Sequence

from harmonykit.about.row import MOST_NOTES
from harmonykit.about.shapes import Facts
from harmonykit.evidence.heard import WHAT
from harmonykit.fretboard.hands.hand import THUMB
from harmonykit.fretboard.strings.tuning import is_tuning
from harmonykit.theory.note import printed_accidental
from harmonykit.tune.analysis.numerals import printed_numeral
from harmonykit.words.numbers import counted

WIDTH = 80
MOST_SHAPES, MOST_SCALES = 16, 5
_INDENT = 12
_ROOT = "1"


def to_text(known: Facts) -> str:
    """Return the facts of ``harmonykit.about.chord`` as lines of at most 80 columns.

    Examples
    --------
    >>> from harmonykit.about.chord import chord_facts
    >>> from harmonykit.about.known import Chord, KnownChord
    >>> print(to_text(chord_facts(KnownChord(Chord.parse("C/D")))).splitlines()[2:5])
    ['tones       C  E  G', 'degrees     1  3  5', 'bass        D']
    """
    lines = [_headline(known), "", *_tones(known), *_functions(known)]
    lines += _diminished(known) if "parents" in known else _other(known)
    lines += _heard(known)
    if "shapes" in known:
        lines += ["", *_shapes(known)]
    return "\n".join(lines)


def printed(text: str) -> str:
    """Return a symbol or a note name as it is printed: ♭ for b, ♯ for #, ° for dim.

    Examples
    --------
    >>> printed("Bbm7b5"), printed("Ebb"), printed("F#dim7")
    ('B♭m7♭5', 'E𝄫', 'F♯°7')
    """
    flat = re.sub(r"(?<=[A-G])b+|b+(?=\d)", lambda b: printed_accidental(-len(b[0])), text)
    sharp = re.sub("#+", lambda found: printed_accidental(len(found[0])), flat)
    return sharp.replace("dim", "°")


def _headline(known: Facts) -> str:
    name = printed(known["symbol"])
    typed = known["symbol"]
    return name if name == typed else f"{name}   (typed {typed})"


def row(label: str, text: str, indent: int = _INDENT) -> list[str]:
    """Return a label with its text, wrapped under itself.

    Examples
    --------
    >>> row("bass", "E")
    ['bass        E']
    """
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=label.ljust(indent),
        subsequent_indent=" " * indent,
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
        yield from row("bass", printed(known["bass"]))
    for name in known["not_played"]:
        note = next(tone["note"] for tone in tones if tone["degree"] == name)
        yield from row("not played", f"{printed(note)} ({name}), a half step above the third")
    yield from row("set class", known["set_class"])
    if (same := known["synonyms"]) and len(tones) <= MOST_NOTES:
        yield from row("same notes", ", ".join(map(printed, same)))
    if scales := known["scales"]:
        more = f"; and {len(scales) - MOST_SCALES} more" if len(scales) > MOST_SCALES else ""
        yield from row("scales", "; ".join(map(_scale, scales[:MOST_SCALES])) + more)
    for doubt in known["doubts"]:
        yield from row("doubt", doubt)


def _scale(known: Facts) -> str:
    avoid = " ".join(map(printed, known["avoid"]))
    return f"{printed(known['tonic'])} {known['scale']}" + (f" (avoid {avoid})" if avoid else "")


def _move(pair: list[str], verb: str) -> str:
    return f"{printed(pair[0])} {verb} to {printed(pair[1])}"


def _diminished(known: Facts) -> Iterator[str]:
    yield "\nLower one note by a semitone: a dominant seventh, and the chord it resolves to"
    for parent in known["parents"]:
        voices = ", ".join("–".join(map(printed, move)) for move in parent["moves"])
        fact = f"{_move(parent['lowered'], 'falls')}; resolves to {printed(parent['leads_to'])}"
        yield from row("  " + printed(parent["chord"]), f"{fact}: {voices}")
    yield "\nRaise one note by a semitone: a minor sixth or half-diminished seventh chord"
    for sixth in known["minor_sixths"]:
        name = f"{_move(sixth['raised'], 'rises')}; also {printed(sixth['also'])}"
        yield from row("  " + printed(sixth["chord"]), name)


def _functions(known: Facts) -> Iterator[str]:
    """Tell what the chord does: in one key with words, in several by numeral and key."""
    found = known["functions"]
    if not found:
        return
    if len({role["key"] for role in found}) == 1:
        told = [f"{printed_numeral(role['numeral'])} {role['function']}".strip() for role in found]
        yield from row(f"in {printed(found[0]['key'])}".ljust(_INDENT - 1) + " ", "; ".join(told))
        return
    keys: dict[str, list[str]] = {}
    for role in found:
        keys.setdefault(printed_numeral(role["numeral"]), []).append(printed(role["key"]))
    yield from row("in keys", "; ".join(f"{n} of {', '.join(k)}" for n, k in keys.items()))


def _other(known: Facts) -> Iterator[str]:
    yield ""
    yield from _goes_on(known)
    ways = {"below": "a semitone below", "above": "a semitone above", "same": "on its own root"}
    led = [f"{printed(known['its_dominant'])}, its dominant"]
    led += [f"{printed(known['led_to_by'][side])} {words}" for side, words in ways.items()]
    yield from row("follows", "; ".join(led))
    if others := known["substitutes"]:
        told = (f"{printed(one['chord'])} ({one['kind']})" for one in others)
        yield from row("substitutes", ", ".join(told))
    if (near := known["one_note_away"]) and len(known["tones"]) <= MOST_NOTES:
        told = (f"{printed(one['chord'])} ({'–'.join(map(printed, one['moved']))})" for one in near)
        yield from row("a note away", ", ".join(told))


def _goes_on(known: Facts) -> Iterator[str]:
    whole = next((one for one in known["dominants"] if not one["missing"]), None)
    told = []
    for one in known["dominants"]:
        lost = " ".join(map(printed, one["missing"]))
        role = f" as {printed(one['chord'])} without {lost}" if lost else ""
        role = f" as {printed(one['chord'])}" if not lost and one is not whole else role
        told.append(printed(one["target"]) + role)
    if told:
        text = ", ".join(told)
        if "its_diminished" in known:
            text += (
                f"; with a flat ninth and without its root it is {printed(known['its_diminished'])}"
            )
        yield from row("resolves to", text)
    if known["prepares"]:
        yield from row("prepares", ", ".join(map(printed, known["prepares"])))


def _heard(known: Facts) -> Iterator[str]:
    """Tell what was heard after the chord most, and in how many tunes."""
    if found := known["heard_next"]:
        if "parents" in known:
            yield ""
        told = ", ".join(f"{printed(one['chord'])} in {one['tunes']}" for one in found)
        what = WHAT[found[0]["style"]]
        counted = found[0]["counted_as"].partition(" ")[0]
        more = f", counted as {counted}" if counted else ""
        yield from row("often next", f"{told} of {found[0]['of']} {what}{more}")
    elif known["why_not_heard"]:
        yield from row("often next", f"not counted: {known['why_not_heard']}")


def _shapes(known: Facts) -> Iterator[str]:
    shapes = known["shapes"]
    yield from textwrap.wrap(_title(known), WIDTH)
    if not shapes:
        return
    yield from shape_table(shapes[:MOST_SHAPES])
    if len(shapes) > MOST_SHAPES:
        yield f"  and {len(shapes) - MOST_SHAPES} more: --json, or .shapes() in Python"
    if known["from_the_first"]:
        yield f"\nFrom {shapes[0]['digits']} to the chord it resolves to, by least movement"
        for lead in known["from_the_first"]:
            yield from row(f"  {printed(lead['chord'])}", f"{lead['digits']}: {lead['told']}")
    if known["near_the_first"]:
        yield f"\nOne string of {shapes[0]['digits']} moved by a fret"
        yield from row("", "; ".join(map(near, known["near_the_first"])), indent=2)


def _title(known: Facts) -> str:
    name, line = known["instrument"]["name"], known["instrument"]["line"]
    spared = " or ".join(map(_tone, known["may_be_missing"]))
    count = len(known["shapes"])
    if not count:
        where = f"on {name}" if is_tuning(name) else f"on the {name}"
        without = f", even without {spared}" if spared else ""
        return f"No shape {where}{without}, that {_hand(known)} can hold"
    without = f", some without {spared}" if spared else ""
    after = f", the most natural after {known['after']} first" if known["after"] else ""
    return f"{counted(count, 'shape')}{without}{_within(known)}{after}. {line}"


def _tone(degree: str) -> str:
    return "the root" if degree == _ROOT else f"the {printed(degree)}"


def _hand(known: Facts) -> str:
    hand = "a small hand" if known["small_hand"] else "a hand"
    return hand + (f" at level {known['level']}" if known["level"] else "")


def _within(known: Facts) -> str:
    return f" within reach of {_hand(known)}" if known["level"] or known["small_hand"] else ""


def near(found: Facts) -> str:
    """Return a near shape in a few words.

    Examples
    --------
    >>> near({"digits": "1-3-2-3", "chords": ["Ab7"], "strings_moved": 1, "hand_mm": 5.0})
    '1-3-2-3 A♭7'
    """
    return f"{found['digits']} {' = '.join(map(printed, found['chords']))}"


_FINGERS = {None: "x", THUMB: "T"}
_COLUMNS = ("frets", "fingers", "stretch", "level", "notes", "voicing")


def shape_table(shapes: Sequence[Facts]) -> list[str]:
    """Return shapes as lines under a heading; columns that would run over are left out.

    Ten strings high up the neck leave room for the frets alone.
    """
    rows = [_COLUMNS, *map(_cells, shapes)]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    shown = len(_COLUMNS)
    while shown > 1 and 2 * shown + sum(widths[:shown]) > WIDTH:
        shown -= 1
    return [("  " + "  ".join(map(str.ljust, cells[:shown], widths))).rstrip() for cells in rows]


def _cells(shape: Facts) -> tuple[str, ...]:
    parts = shape["difficulty"] or {"level": None}
    fingers = "".join(_FINGERS.get(finger, str(finger)) for finger in shape["fingers"])
    notes = " ".join("x" if note is None else printed(note) for note in shape["notes"])
    level = "-" if parts["level"] is None else str(parts["level"])
    return shape["digits"], fingers, f"{shape['stretch_mm']:.0f} mm", level, notes, _lies(shape)


def _lies(shape: Facts) -> str:
    over = f"over {printed(shape['bass'])}"
    lacks = " ".join(printed(degree) for degree in shape["missing"] if degree != _ROOT)
    rootless = ", rootless" if shape["rootless"] else ""
    return f"{shape['layout']} {over}".strip() + rootless + (f", no {lacks}" if lacks else "")
