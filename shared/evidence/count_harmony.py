"""Count changes and short rows of chords: ``count_harmony.py FOLDER``.

Jazz tunes by the key that they are written in, songs in triads by the likeliest one.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
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

from harmonykit.evidence.harmony import Context, Harmony, Levels, Move, contexts, contexts_in, move
from harmonykit.evidence.heard import FEWEST, LONGEST, SHORTEST, chain_name
from harmonykit.evidence.keys import key_probabilities
from harmonykit.evidence.kinds import KINDS, PLAIN

_POWER = 0.5


def count_changes(pieces: Sequence[Piece]) -> Levels:
    """Return what follows each context, by level; what few tunes have is only summed up."""
    counted = [_changes(piece) for piece in pieces]
    tunes = Counter(each for changes in counted for each in changes)
    kept: list[dict[Context, dict[Move, float]]] = [{} for _ in range(4)]
    rest: list[dict[Context, float]] = [defaultdict(float) for _ in range(4)]
    for changes in counted:
        for (level, context, to), n in changes.items():
            if tunes[level, context, to] >= FEWEST:
                follows = kept[level].setdefault(context, defaultdict(float))
                follows[to] += n**_POWER
            else:
                rest[level][context] += n**_POWER
    return [
        {context: (rest[n][context], follows) for context, follows in level.items()}
        for n, level in enumerate(kept)
    ]


def _changes(piece: Piece) -> Counter[tuple[int, Context, Move]]:
    if piece.key is None:
        raise ValueError(f"{piece.name} has no key")
    row, key = piece.row, piece.key
    return Counter(
        (level, context, move(row, n))
        for n in range(1, len(row))
        for level, context in enumerate([*contexts(row, n), *contexts_in(row, n, key)])
    )


def harmony(pieces: Sequence[Piece], style: str) -> Harmony:
    """Return the model that is counted from pieces."""
    return Harmony(count_changes(pieces), len(KINDS[style]))


def with_key(piece: Piece) -> Piece:
    """Return a song in triads with its likeliest key."""
    likely = key_probabilities(piece.row, piece.bars, PLAIN)
    return replace(piece, key=max(likely, key=lambda key: likely[key]))


def count_chains(pieces: Sequence[Piece]) -> dict[str, list[int]]:
    """Return times and tunes of each row of two to four chords that three tunes have."""
    counted = [
        Counter(
            chain_name(piece.row[n : n + length])
            for length in range(SHORTEST, LONGEST + 1)
            for n in range(len(piece.row) - length + 1)
        )
        for piece in pieces
    ]
    times: Counter[str] = Counter()
    tunes: Counter[str] = Counter()
    for each in counted:
        times.update(each)
        tunes.update(each.keys())
    return {name: [times[name], tunes[name]] for name in sorted(tunes) if tunes[name] >= FEWEST}


def say_context(context: Context) -> str:
    """Write a context: numbers with ``+``."""
    return " ".join(f"+{each}" if isinstance(each, int) else each for each in context)


def as_rows(levels: Levels) -> list[dict[str, list[object]]]:
    """Return levels as they are written, counts with one decimal."""
    return [
        {
            say_context(context): [
                round(rest, 1),
                {f"{step} {kind}": round(n, 1) for (step, kind), n in sorted(follows.items())},
            ]
            for context, (rest, follows) in sorted(level.items(), key=lambda each: str(each[0]))
        }
        for level in levels
    ]


def main() -> None:
    """Count both collections and write four tables."""
    folder = folder_given()
    songs = [with_key(piece) for piece in plain_pieces(folder) if len(piece.row) > 1]
    for pieces, end, source, licence in (
        (jazz_pieces(folder), "", JAZZ_SOURCE, JAZZ_LICENCE),
        (songs, "_plain", PLAIN_SOURCE, PLAIN_LICENCE),
    ):
        head: dict[str, object] = {
            "source": source,
            "licence": licence,
            "script": "shared/evidence/count_harmony.py",
            "tunes": len(pieces),
        }
        unit = "a context: what few tunes have, then step and kind of what follows"
        levels = as_rows(count_changes(pieces))
        write_table(f"harmony{end}", {**head, "unit": unit, "levels": levels})
        unit = "kinds, steps of the root in semitones up: times, tunes"
        write_table(f"heard{end}", {**head, "unit": unit, "chains": count_chains(pieces)})


if __name__ == "__main__":
    main()
