"""The notes of a scale or a chord at every place of the neck.

Conventions.  As for shapes on the neck: the mark of the second string at the third fret has the id
``string-2-fret-3``.  The tonic or root has its own mark; third, fifth and seventh have theirs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from harmonykit.draw.base.canvas import Canvas, Drawing
from harmonykit.draw.base.fonts import SEMIBOLD
from harmonykit.draw.base.given import as_look, as_seen, spoken, spoken_symbol, string_names
from harmonykit.draw.base.marks import degree_label, draw_mark, role_of
from harmonykit.draw.shapes.board import Board, NeckLook, all_places, draw_board
from harmonykit.draw.shapes.neck import LETTERS, name_room, the_neck
from harmonykit.errors import HarmonyError, need_one_of
from harmonykit.fretboard.strings.instrument import InstrumentLike, as_instrument
from harmonykit.theory import modes, spelling
from harmonykit.theory.given import NotesLike
from harmonykit.theory.leading.ladder import Ladder
from harmonykit.theory.note import Note
from harmonykit.values import dataclass
from harmonykit.words.numbers import join_words

ScaleLike = Ladder | NotesLike
_ROLES = {1: "root", 3: "third", 5: "fifth", 7: "seventh"}


@dataclass(frozen=True, slots=True)
class _Seen:
    """A note as it is marked: its name, its degree as printed, its role."""

    note: Note
    degree: str
    role: str


def draw_scale(
    instrument: InstrumentLike,
    scale: ScaleLike,
    *,
    letters: str = "notes",
    look: NeckLook | None = None,
    palette: str = "colour",
) -> Drawing:
    """Draw the notes of a scale, a chord or a set wherever they lie on the neck.

    Parameters
    ----------
    instrument : Instrument or str
        Its name (``"ukulele"``) or its open strings (``"D4 F#4 A4 D5"``) will do.
    scale : Scale, SixthDiminished, Chord, PcSet or str
        Also as text: ``"D dorian"``, ``"Cmaj7"``, ``"C E G"``.
    letters : {"notes", "degrees", "none"}
        What is written in the marks.
    look : NeckLook, optional
        How many frets (12), which hand, and the size.
    palette : str

    Returns
    -------
    Drawing

    Raises
    ------
    HarmonyError
        If what was given is neither a scale nor notes, or letters are unknown.

    Examples
    --------
    >>> neck = hk.draw.scale("ukulele", "D dorian", look=hk.draw.NeckLook(frets=5))
    >>> neck.alt.split(". ")[1]
    'D dorian: D, E, F, G, A, B and C'
    >>> neck.alt.split(". ")[2]
    'g string: frets 0, 2, 4, 5'
    """
    instrument = as_instrument(instrument)
    need_one_of(letters, "setting for letters", LETTERS)
    title, said, seen = _read(scale)
    look = as_look(look, NeckLook)
    frets = min(look.frets, instrument.frets)
    board = Board(instrument, frets, look.left_handed, look.reverse_strings, look.width, look.size)
    board, canvas = name_room(board, palette)
    canvas.text(
        look.width / 2, board.top - board.sizes.name_up, title, board.sizes.name_pt, weight=SEMIBOLD
    )
    draw_board(canvas, board, named=look.places)
    found: dict[int, list[int]] = {}
    for string, fret in all_places(board):
        mark = seen.get((instrument.midi[string] + fret) % 12)
        if mark is not None:
            found.setdefault(string, []).append(fret)
        if mark is not None or look.places:
            _place(canvas, board, (string, fret), mark, letters)
    alt = ". ".join([the_neck(board), f"{said}: {_listed(seen)}", *_places(board, found)])
    return canvas.drawing("notes on the neck", alt, (board.x_of_wire(0), board.top))


def _place(
    canvas: Canvas, board: Board, place: tuple[int, int], mark: _Seen | None, letters: str
) -> None:
    """Draw the mark of a place, or what a click can meet there."""
    string, fret = place
    with canvas.group(f"string-{string + 1}-fret-{fret}", "" if mark else "place"):
        if mark is None:
            canvas.area(*board.cell(string, fret))
            return
        letter = {"notes": mark.note.unicode, "degrees": mark.degree}.get(letters, "")
        x, y = board.x(fret, string), board.y(string)
        draw_mark(canvas, x, y, mark.role, board.mark, letter, board.sizes.letter_pt)


def _read(given: ScaleLike) -> tuple[str, str, dict[int, _Seen]]:
    """Return the title as printed and as spoken, and each pitch class as it is marked."""
    scale = given if isinstance(given, Ladder) else _scale_in(given)
    if scale is not None:
        pairs = zip(scale.notes, scale.degrees, strict=True)
        seen = {n.pitch_class: _Seen(n, d.unicode, _ROLES.get(d.number, "note")) for n, d in pairs}
        tonic = spoken(scale.tonic)
        return scale.title, f"{tonic} {scale.title.partition(' ')[2]}", seen
    assert not isinstance(given, Ladder)
    chord, pcs = as_seen(given)
    if chord is None:
        notes = {pc: spelling.usual_root(pc) for pc in pcs}
        named = " ".join(note.unicode for note in notes.values())
        return named, "The notes", {pc: _Seen(n, "", "note") for pc, n in notes.items()}
    marked = {
        note.pitch_class: _Seen(
            note, degree_label(chord, note.pitch_class), role_of(chord, note.pitch_class)
        )
        for note in chord.notes
    }
    return chord.unicode, spoken_symbol(chord.unicode), marked


def _scale_in(given: NotesLike) -> modes.Scale | None:
    """Return the scale that a text names, if it has a tonic and a name."""
    if isinstance(given, str) and " " in given.strip():
        try:
            return modes.Scale.parse(given)
        except HarmonyError:
            return None
    return None


def _listed(seen: Mapping[int, _Seen]) -> str:
    return join_words([spoken(each.note) for each in seen.values()]) or "none"


def _places(board: Board, found: Mapping[int, list[int]]) -> Iterator[str]:
    names = string_names(board.instrument)
    for string, frets in found.items():
        yield f"{names[string]}: fret{'s' * (len(frets) > 1)} {', '.join(map(str, frets))}"
