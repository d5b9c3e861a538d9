"""The likely keys of a tune, each with its probability, and the one that was chosen."""

import re
from dataclasses import replace

from harmonykit.errors import HarmonyError
from harmonykit.score.typed import text_kind
from harmonykit.theory.key import Key
from harmonykit.tune.analysis.key_finding import LIKELIEST, find_keys
from harmonykit.tune.tune import Tune
from harmonykit.workbook.reharmonise.state import ReharmoniseState, with_tune

_SAID = re.compile(r"(?im)^[ \t]*key[ \t]*:.*\n?")


def keys_offered(tune: Tune) -> tuple[tuple[Key, float], ...]:
    """Return the likeliest keys of a tune, and its own; none where no key can be told.

    Examples
    --------
    >>> [str(key) for key, _ in keys_offered(Tune.parse("| C | G | Am | F |"))]
    ['C major', 'A minor', 'G major']
    """
    try:
        found = find_keys(tune)
    except HarmonyError:
        return ()
    near = [pair for place, pair in enumerate(found) if place < LIKELIEST or pair[0] == tune.key]
    return tuple(near)


def with_key(state: ReharmoniseState, key: Key) -> ReharmoniseState:
    """Return the state with a key chosen: a message says it, of another tune it is remembered.

    Examples
    --------
    >>> typed = ReharmoniseState(text="Key: C\\n| C | Am |")
    >>> with_key(typed, Key.parse("A minor")).text
    'Key: A minor\\n| C | Am |'
    """
    if text_kind(state.text) != "|":
        return replace(state, decided=replace(state.decided, key=str(key)))
    text = f"Key: {key}\n{_SAID.sub('', state.text)}"
    return with_tune(state, text, state.name, state.number)
