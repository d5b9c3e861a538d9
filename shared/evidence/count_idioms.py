"""Count the idioms of arranging in tunes: ``count_idioms.py FOLDER``.

Each idiom is counted by the row by which it is found in a tune (``arrange/idioms/idioms.toml``): in
any key, or with its tonic in the home key or the local one at its last chord.  A row begins once at
a chord.  The collections have no basses and no tensions: an inversion is counted as its chord, and
rows with another bass or with tensions are left out.  So are rows of more than four chords; those
of fewer than three tunes are kept as 0.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from collection import (
    JAZZ_LICENCE,
    JAZZ_SOURCE,
    PLAIN_LICENCE,
    PLAIN_SOURCE,
    Piece,
    folder_given,
    jazz_pieces,
    plain_pieces,
    write_table,
)
from count_harmony import with_key

from harmonykit.arrange.idioms.idiom import BLUES, ENDING, Idiom
from harmonykit.arrange.idioms.numeral import Numeral
from harmonykit.arrange.idioms.reading import IDIOMS
from harmonykit.evidence.harmony import Place, harmony_of
from harmonykit.evidence.heard import FEWEST, LONGEST
from harmonykit.evidence.keys import Heard
from harmonykit.evidence.kinds import JAZZ, PLAIN

_BLUES = 12


def count_idioms(
    pieces: Sequence[Piece], keys: Sequence[Sequence[Place]], idioms: Mapping[str, Idiom]
) -> dict[str, list[int]]:
    """Return in how many places and in how many tunes each idiom stands, by its name.

    ``keys`` are the local keys of each piece, chord by chord.
    """
    counted: dict[str, list[int]] = {}
    for name, idiom in idioms.items():
        if is_counted(idiom):
            found = [
                sum(1 for _ in stands_in(idiom, piece, local))
                for piece, local in zip(pieces, keys, strict=True)
            ]
            counted[name] = [sum(found), sum(map(bool, found))]
    return {name: pair if pair[1] >= FEWEST else [0, 0] for name, pair in counted.items()}


def is_counted(idiom: Idiom) -> bool:
    """Return whether the collections can tell of an idiom."""
    every = [each for choice in idiom.stands for each in choice]
    said = any(each.exact or not _inverted(each) for each in every)
    return 1 < len(idiom.stands) <= LONGEST and not said


def _inverted(numeral: Numeral) -> bool:
    """Return whether a numeral has no bass but third or fifth."""
    if numeral.bass is None:
        return True
    third = 3 if numeral.small else 4
    return (numeral.bass.pitch_class - numeral.degree.pitch_class) % 12 in (third, 7)


def stands_in(idiom: Idiom, piece: Piece, local: Sequence[Place]) -> Iterator[int]:
    """Yield the index of each chord with which an idiom begins in a piece."""
    if idiom.where in BLUES and not is_blues(piece):
        return
    row, length = piece.row, len(idiom.stands)
    for start in range(len(row) - length + 1):
        end = start + length - 1
        if idiom.where == ENDING and end != len(row) - 1:
            continue
        first = row[start]
        tonics = {each.tonic_of(first.root) for each in idiom.stands[0]}
        if not idiom.any_key and piece.key is not None:
            here = [key for key in (piece.key, local[end]) if idiom.mode in ("", key[1])]
            tonics &= {tonic for tonic, _ in here}
        if any(_fits(idiom, row[start : end + 1], tonic) for tonic in tonics):
            yield start


def _fits(idiom: Idiom, stretch: Sequence[Heard], tonic: int) -> bool:
    return all(
        any(numeral.takes(each.root, each.kind, tonic) for numeral in choice)
        for choice, each in zip(idiom.stands, stretch, strict=True)
    )


def is_blues(piece: Piece) -> bool:
    """Return whether a piece has forms of twelve bars with the fourth degree in bar 5."""
    fifth = [each for each in piece.row if each.bar <= _BLUES // 3]
    return piece.bars % _BLUES == 0 and (fifth[-1].root - piece.row[0].root) % 12 == 5


def _local(piece: Piece, style: str) -> list[Place]:
    if piece.key is None:
        raise ValueError(f"{piece.name} has no key")
    return harmony_of(style).local_keys(piece.row, piece.key)


# A kind of triads as a kind that numerals know.
_AS_JAZZ = {"maj": "6", "min": "m", "5": "6", "dim": "dim7", "aug": "+"}


def _in_jazz(piece: Piece) -> Piece:
    row = (replace(each, kind=_AS_JAZZ.get(each.kind, each.kind)) for each in piece.row)
    return replace(piece, row=tuple(row))


def main() -> None:
    """Count in both styles and write the table."""
    folder = folder_given()
    jazz = jazz_pieces(folder)
    plain = [with_key(piece) for piece in plain_pieces(folder) if len(piece.row) > 1]
    local = [_local(piece, PLAIN) for piece in plain]
    write_table(
        "idioms",
        {
            "source": f"{JAZZ_SOURCE}; {PLAIN_SOURCE}",
            "licence": f"{JAZZ_LICENCE}; {PLAIN_LICENCE}",
            "script": "shared/evidence/count_idioms.py",
            "unit": "times, tunes",
            "tunes": {JAZZ: len(jazz), PLAIN: len(plain)},
            JAZZ: count_idioms(jazz, [_local(piece, JAZZ) for piece in jazz], IDIOMS),
            PLAIN: count_idioms([_in_jazz(piece) for piece in plain], local, IDIOMS),
        },
    )


if __name__ == "__main__":
    main()
