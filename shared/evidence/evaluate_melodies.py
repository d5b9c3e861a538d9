"""Print how well the key of a melody is told by its notes: ``evaluate_melodies.py``.

Judged on traditional melodies of three collections that music21 brings with it: Aird 1782,
O'Neill's collection of 1850 melodies (1903), Ryan 1883.  A mode is counted by its third.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from harmonykit.evidence.keys import MAJOR, MINOR, melody_probabilities

COLLECTIONS = ("airdsAirs", "oneills1850", "ryansMammoth")
_EACH = 8
_FEWEST_NOTES = 8
# From a signature's major tonic to the mode's own, on the line of fifths, and the kept mode.
_MODES = {
    "major": (0, MAJOR), "ionian": (0, MAJOR), "mixolydian": (1, MAJOR), "lydian": (-1, MAJOR),
    "minor": (3, MINOR), "aeolian": (3, MINOR), "dorian": (2, MINOR), "phrygian": (4, MINOR),
}  # fmt: skip
Told = tuple[tuple[int, str], list[tuple[int, float]], bool]


def melodies() -> Iterator[Told]:
    """Yield key, notes and whether the mode is a church mode of every eighth melody."""
    import music21
    from music21 import converter

    for name in COLLECTIONS:
        folder = Path(music21.__file__).parent / "corpus" / name
        texts = [path.read_text("utf-8", "ignore") for path in sorted(folder.glob("*.abc"))]
        tunes = [each for text in texts for each in re.split(r"(?m)^(?=X:)", text)]
        for text in [each for each in tunes if re.search(r"(?m)^K:", each)][::_EACH]:
            try:
                score = converter.parseData(text, format="abc")
            except (music21.exceptions21.Music21Exception, ValueError, IndexError):
                continue  # music21 does not read every one of its own
            signature = score.recurse().getElementsByClass("KeySignature").first()
            mode = getattr(signature, "mode", None) or "major"
            notes = [
                (note.pitch.pitchClass, float(note.quarterLength))
                for note in score.recurse().notes
                if note.isNote and note.quarterLength
            ]
            if signature is not None and mode in _MODES and len(notes) >= _FEWEST_NOTES:
                fifths, kept = _MODES[mode]
                yield ((signature.sharps + fifths) * 7 % 12, kept), notes, mode not in _PLAIN


_PLAIN = ("major", "ionian", "minor", "aeolian")


def figures(_: Path | None = None) -> Iterator[str]:
    """Yield how often the key is found, and the log loss."""
    told = list(melodies())
    found = [melody_probabilities(notes) for _, notes, _ in told]
    hits = np.array(
        [max(p, key=p.__getitem__) == key for p, (key, _, _) in zip(found, told, strict=True)]
    )
    losses = np.array([-np.log(p[key]) for p, (key, _, _) in zip(found, told, strict=True)])
    minor = np.array([key[1] == MINOR and not modal for key, _, modal in told])
    modal = np.array([modal for _, _, modal in told])
    yield f"keys of melodies without chords: {len(told)} traditional ones"
    for name, where in (
        ("key and mode", np.ones(len(told), dtype=bool)),
        ("major", ~minor & ~modal),
        ("minor", minor),
        ("church modes, by their third", modal),
    ):
        right, loss = 100 * hits[where], losses[where]
        many = np.sqrt(len(loss))
        yield (
            f"  {name}, {len(loss)}: {right.mean():.1f} ± {right.std() / many:.1f} %, "
            f"log loss {loss.mean():.3f} ± {loss.std() / many:.3f}"
        )


if __name__ == "__main__":
    for line in figures():
        print(line, flush=True)
