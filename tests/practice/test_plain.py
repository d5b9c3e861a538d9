"""Questions as plain data: three hundred of them recomputed by other code, and whole as JSON.

Notes are read by music21; chords are tables of semitones, and everything else is counted out.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from itertools import permutations, product
from typing import Any

import pytest
from music21 import pitch

from harmonykit.practice.kinds import KINDS, ask
from harmonykit.practice.plain import plain_question, sounds_of
from harmonykit.practice.question import LEVELS, Spec

WAYS = [(k.name, medium) for k in KINDS.values() for medium in k.media]
# Semitones above the root (common practice, no source).
CHORDS = {
    "": (0, 4, 7), "m": (0, 3, 7), "+": (0, 4, 8), "m♭5": (0, 3, 6), "7": (0, 4, 7, 10),
    "maj7": (0, 4, 7, 11), "m7": (0, 3, 7, 10), "6": (0, 4, 7, 9), "m6": (0, 3, 7, 9),
    "m7♭5": (0, 3, 6, 10), "°7": (0, 3, 6, 9), "7♭5": (0, 4, 6, 10), "m(maj7)": (0, 3, 7, 11),
}  # fmt: skip
SCALES = {
    "major sixth-diminished": (0, 2, 4, 5, 7, 8, 9, 11),
    "minor sixth-diminished": (0, 2, 3, 5, 7, 8, 9, 11),
    "dominant seventh-diminished": (0, 2, 4, 5, 7, 8, 10, 11),
    "octatonic whole-half": (0, 2, 3, 5, 6, 8, 9, 11),
    "melodic minor": (0, 2, 3, 5, 7, 9, 11),
    "harmonic major": (0, 2, 4, 5, 7, 8, 11),
    "bebop dominant": (0, 2, 4, 5, 7, 9, 10, 11),
}
OPEN = (67, 60, 64, 69)
NAME = r"[A-G][♭♯]?"


def note(name: str) -> int:
    plain = name.replace("𝄫", "--").replace("♭", "-").replace("𝄪", "##").replace("♯", "#")
    return int(pitch.Pitch(plain[0] + plain[1:].replace("b", "-")).pitchClass)


def chord(symbol: str) -> set[int]:
    """Return the pitch classes of a chord, as printed or as typed."""
    printed = symbol.replace("dim7", "°7").replace("b5", "♭5").replace("mmaj7", "m(maj7)")
    found = re.fullmatch(r"([A-G](?:♭♭|[♭♯b#])?)(.*)", printed)
    assert found, symbol
    root = note(found[1])
    return {(root + step) % 12 for step in CHORDS[found[2]]}


def found(pattern: str, text: str) -> tuple[str, ...]:
    match = re.search(pattern, text)
    assert match, text
    return tuple(each or "" for each in match.groups())


def sevenths(roots: set[int]) -> list[set[int]]:
    return [{(root + step) % 12 for step in CHORDS["7"]} for root in roots]


def check_parents(plain: dict[str, Any]) -> None:
    text, level = plain["prompt"], plain["level"]
    if plain["medium"] == "ear":
        return agree_by_ear(plain)
    if plain["medium"] == "neck":
        wanted = None if level == 4 else chord(found(r"becomes (\S+)\.", text)[0])
        return agree_shapes(plain, wanted)
    if level == 1:
        roots = {(note(found(rf"Lower ({NAME})", text)[0]) - 1) % 12}
    elif level == 2:
        roots = {(pc - 1) % 12 for pc in chord(found(rf"({NAME}°7)", text)[0])}
    else:
        root = note(found(rf"^({NAME})7", text)[0])
        roots = {(root + step) % 12 for step in (3, 6, 9)}
        if level == 4:
            return agree_chords(plain, [{(root + step) % 12 for step in (1, 4, 7, 10)}])
    if plain["form"] == "notes":
        assert set(plain["right"]) == roots
    else:
        agree_chords(plain, sevenths(roots))


def check_targets(plain: dict[str, Any]) -> None:
    text, level = plain["prompt"], plain["level"]
    if plain["medium"] == "ear":
        last = {pc % 12 for pc in plain["sounds"][-1]}
        assert [{(r + step) % 12 for step in (0, 4, 7)} for r in plain["right"]] == [last]
    elif level == 1:
        named, replaced = found(rf"({NAME})°7 replaces ({NAME})7", text)
        assert plain["right"] == [(note(replaced) + 5) % 12]
        # Its root is the leading tone: the third of what it replaces, by its letter too.
        letters = (ord(named[0]) - ord(replaced[0])) % 7
        assert (note(named) - note(replaced)) % 12 == 4 and letters == 2
    elif level == 2:
        tones = chord(found(rf"({NAME}°7)", text)[0])
        assert set(plain["right"]) == {(pc + 1) % 12 for pc in tones}
    else:
        goal = note(found(rf"resolves to ({NAME})", text)[0])
        if level == 3 and plain["form"] == "notes":
            assert plain["right"] == [(goal + 7) % 12]
        else:
            steps = (7, 11, 2, 5) if level == 3 else (11, 2, 5, 8)
            agree_chords(plain, [{(goal + step) % 12 for step in steps}])


def check_spelling(plain: dict[str, Any]) -> None:
    text, level = plain["prompt"], plain["level"]
    if level == 1:
        wanted = chord(found(r"Spell (\S+)\.", text)[0])
    elif level in (2, 3):
        root = note(found(rf"(?:to) ({NAME})", text)[0]) + (-1 if level == 2 else 1)
        wanted = {(root + step) % 12 for step in (0, 3, 6, 9)}
    else:
        tonic, mode, flat, numeral = found(rf"In ({NAME}) (major|minor), .* of (♭?)([ivIV]+)", text)
        degree = ("i", "ii", "iii", "iv", "v", "vi", "vii").index(numeral.lower())
        steps = (0, 2, 4, 5, 7, 9, 11) if mode == "major" or flat else (0, 2, 3, 5, 7, 8, 10)
        root = note(tonic) + steps[degree] - bool(flat) - 1
        wanted = {(root + step) % 12 for step in (0, 3, 6, 9)}
    assert set(plain["right"]) == wanted
    assert [note(name.replace("b", "♭").replace("#", "♯")) for name in plain["names"]] == [
        note(name) for name in plain["answer"].split()
    ]


def check_shape(plain: dict[str, Any]) -> None:
    text = plain["prompt"]
    agree_shapes(plain, chord(found(r"shape of (\S+) ", text)[0]))
    top = re.search(rf"({NAME}) on top", text)
    limit = int(found(r"up to fret (\d+)", text)[0])
    for line in plain["right"]:
        frets = [int(fret) for fret in line.split("-")]
        assert max(frets) <= limit and ("no open" not in text or 0 not in frets)
        heard = [string + fret for string, fret in zip(OPEN, frets, strict=True)]
        assert not top or max(heard) % 12 == note(top[1])


def check_moved(plain: dict[str, Any]) -> None:
    before, after = plain["sounds"]
    (gone,), (new,) = set(before) - set(after), set(after) - set(before)
    assert plain["right"] == [gone % 12, new % 12]


def check_distance(plain: dict[str, Any]) -> None:
    one, other = (sorted(chord(each)) for each in found(r"From (\S+) to (\S+):", plain["prompt"]))
    few, many = sorted((one, other), key=len)
    ways = permutations(many) if len(few) == len(many) else product(few, repeat=len(many))
    sums = [
        sum(min((a - b) % 12, (b - a) % 12) for a, b in zip(way, against, strict=True))
        for way in ways
        if set(way) >= set(few) or len(few) == len(many)
        for against in [few if len(few) == len(many) else many]
    ]
    assert plain["right"] == min(sums)


def check_smoother(plain: dict[str, Any]) -> None:
    if plain["medium"] == "neck" and plain["level"] > 2:
        return
    if plain["medium"] == "ear":
        chords = [each for each in plain["sounds"] if each]
        pairs = list(zip(chords[::2], chords[1::2], strict=True))
    else:
        lines = re.findall(r"[ABC]: (\S+) to ([\d-]+)", plain["prompt"])
        pairs = [tuple([int(f) for f in each.split("-")] for each in line) for line in lines]
    sums = [sum(abs(a - b) for a, b in zip(*pair, strict=True)) for pair in pairs]
    assert "ABC".index(plain["right"]) == sums.index(min(sums)) and sums.count(min(sums)) == 1


def check_scale(plain: dict[str, Any]) -> None:
    tonic, name, row = found(rf"Complete ({NAME}) (.+?): (.+?)\.", plain["prompt"])
    if name not in SCALES:
        return
    wanted = {(note(tonic) + step) % 12 for step in SCALES[name]}
    shown = {note(each) for each in row.split() if each != "?"}
    assert set(plain["right"]) == wanted - shown


def check_becomes(plain: dict[str, Any]) -> None:
    match = re.match(rf"(\S+): (lower|raise) ({NAME}) by a half step", plain["prompt"])
    if not match or match[1][-1] == ":":
        return
    before, moved = chord(match[1]), note(match[3])
    after = before - {moved} | {(moved + (1 if match[2] == "raise" else -1)) % 12}
    if plain["form"] == "notes":
        # An idea may name the new chord with a note more; what is left is in it.
        assert after <= set(plain["right"])
    else:
        assert all(chord(each) >= after for each in plain["right"][0] if plainly(each))


def plainly(symbol: str) -> bool:
    printed = symbol.replace("dim7", "°7").replace("b5", "♭5").replace("mmaj7", "m(maj7)")
    return re.sub(r"^[A-G](?:♭♭|[♭♯b#])?", "", printed) in CHORDS


def agree_by_ear(plain: dict[str, Any]) -> None:
    last = {pc % 12 for pc in plain["sounds"][-1] if pc > 48}
    (right,) = plain["right"]
    assert all(chord(each) == last for each in right if plainly(each))
    for choice in plain["choices"]:
        if plainly(choice["text"]):
            assert choice["right"] == (chord(choice["text"]) == last)


def agree_chords(plain: dict[str, Any], wanted: list[set[int]]) -> None:
    if plain["form"] == "notes":
        assert [set(plain["right"])] == wanted
        return
    got = [[chord(each) for each in part] for part in plain["right"]]
    assert all(each == part[0] for part in got for each in part)
    assert sorted(map(sorted, (part[0] for part in got))) == sorted(map(sorted, wanted))
    if "Any of its four names" in plain["prompt"]:
        names = {note(each.removesuffix("dim7").replace("b", "♭")) for each in plain["right"][0]}
        assert names == wanted[0]  # all symmetric twins are right


def agree_shapes(plain: dict[str, Any], wanted: set[int] | None) -> None:
    for line in plain["right"]:
        frets = [int(fret) for fret in line.split("-")]
        heard = {(string + fret) % 12 for string, fret in zip(OPEN, frets, strict=True)}
        assert heard == wanted if wanted else all((pc + 3) % 12 in heard for pc in heard)


CHECKS = {
    "parents": check_parents, "targets": check_targets, "spelling": check_spelling,
    "shape": check_shape, "moved": check_moved, "distance": check_distance,
    "smoother": check_smoother, "scale": check_scale, "quality": agree_by_ear,
    "drone": agree_by_ear, "function": agree_by_ear, "becomes": check_becomes,
    "hear": agree_by_ear,
}  # fmt: skip


def some(kind: str, medium: str, count: int) -> Iterator[dict[str, Any]]:
    for number in range(1, count + 1):
        level = 1 + number % LEVELS
        yield plain_question(ask(Spec("pontoon", number, kind, medium, level)))


@pytest.mark.parametrize(("kind", "medium"), WAYS)
def test_three_hundred_questions_recomputed(kind: str, medium: str) -> None:
    """Sixteen of each of the ways of asking, more than three hundred in all."""
    assert set(CHECKS) == set(KINDS) and 16 * len(WAYS) > 300
    for plain in some(kind, medium, 16):
        assert plain == json.loads(json.dumps(plain))
        CHECKS[kind](plain)
        if plain["choices"]:
            assert any(each["right"] for each in plain["choices"])
            for each in plain["choices"]:
                assert each["said"].startswith("Right.") == each["right"]
        assert plain["reason"] and not plain["reason"].startswith("Right.")


def test_what_an_answer_sounds_like_is_what_it_says() -> None:
    asked = ask(Spec("pontoon", 2, "moved", "ear", 2))
    assert sounds_of(asked, asked.answer) == asked.sounds
    first, _, last = asked.answer.partition(" to ")
    assert sounds_of(asked, f"{last} to {first}")[1] == asked.sounds[0]
    shape = ask(Spec("pontoon", 2, "shape", "words", 1))
    frets = [int(fret) for fret in shape.answer.split("-")]
    heard = sorted(string + fret for string, fret in zip(OPEN, frets, strict=True))
    assert sorted(sounds_of(shape, shape.answer)[0]) == heard
    assert sounds_of(shape, "not a shape") == ()
