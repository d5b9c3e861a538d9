"""MusicXML and ABC read as tunes.

The file's bytes go to a child process (``score.child``) whose processor time and memory are limited
where the system can do that, so that a busy machine fails no file.  What comes back is plain data,
and becomes a tune here.  Chord symbols are read with our own parser where they were typed (ABC),
and from root, kind and degrees where they are not (MusicXML, ``score.kinds``).

What is read of form and words, and how each format says it:

==================  ==========================  =============================  ====================
what                MusicXML                    ABC                            MIDI
==================  ==========================  =============================  ====================
repeats, times      ``<repeat times>``          ``|:`` ``:|`` ``::|``          written out
endings             ``<ending number>``         ``[1`` ``|1`` ``[1,3-5``       written out
segno, coda, jumps  words, glyphs, ``<sound>``  ``!D.C.!``, ``"Fine"``, S, O   written out
sections, order     ``<rehearsal>``             ``P:``                         not said
pick-up             a short first measure       a short first bar              not said
words, verses       ``<lyric number>``          ``w:``, several in a row       lyric events
held, word goes on  ``<extend>``, ``syllabic``  ``_``, ``-``                   hyphens, blanks
==================  ==========================  =============================  ====================

What was not understood, and what is not kept, is listed in ``tune.doubts``, with the number of the
bar where it is one bar's.
"""

import json
import os
import signal
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

from harmonykit.errors import Place
from harmonykit.score.child import READY
from harmonykit.score.tune import build_tune
from harmonykit.tune.tune import Tune, TuneError

# Seconds of the processor for one file.
MOST_SECONDS = 10.0
# Seconds by the clock against a hang: for loading music21, and then for the file itself.
LOADING_DEADLINE = DEADLINE = 120.0
# What ends a child whose processor time is used up.
_OUT_OF_TIME = int(getattr(signal, "SIGXCPU", 0)) or 10_000


def read_score(
    name: str, suffix: str, data: bytes, number: int | None, seconds: float = MOST_SECONDS
) -> Tune:
    """Read a tune from the bytes of a MusicXML or ABC file.

    Parameters
    ----------
    name : str
        The file's name, for errors and for a tune without a title.
    suffix : str
        ``".musicxml"``, ``".xml"``, ``".mxl"`` or ``".abc"``.
    data : bytes
    number : int or None
        The reference number of the tune in an ABC file that holds several.
    seconds : float
        Of the processor, that reading may take once its reader is loaded.

    Raises
    ------
    TuneError
        If the file cannot be understood, has no chord, takes too long or too much memory.
    """
    answer = _ask_child(suffix, data, number, seconds, name)
    if error := answer.get("error"):
        rule, mend = error.get("rule", ""), error.get("mend", "")
        raise TuneError(error["what"], place=Place(name), rule=rule, mend=mend)
    return build_tune(answer["score"], name)


def _ask_child(
    suffix: str, data: bytes, number: int | None, seconds: float, name: str
) -> dict[str, Any]:
    package = str(Path(__file__).resolve().parents[2])
    paths = os.pathsep.join(filter(None, (package, os.environ.get("PYTHONPATH"))))
    child = subprocess.Popen(
        _command(suffix, seconds, number),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=os.environ | {"PYTHONPATH": paths},
    )
    with child:
        try:
            _await_ready(child)
            said, _ = child.communicate(data, timeout=DEADLINE)
        except subprocess.TimeoutExpired:
            raise _too_long(name, f"{DEADLINE:g} seconds at most") from None
        finally:
            child.kill()
    if child.returncode == -_OUT_OF_TIME:
        raise _too_long(name, f"{seconds:g} seconds of processor time at most")
    try:
        found: dict[str, Any] = json.loads(said)
    except ValueError:
        raise TuneError("the file cannot be read", place=Place(name)) from None
    return found


def _too_long(name: str, rule: str) -> TuneError:
    return TuneError("the file takes too long to read", place=Place(name), rule=rule)


def _command(suffix: str, seconds: float, number: int | None) -> list[str]:
    module, chosen = "harmonykit.score.child", [] if number is None else [str(number)]
    return [sys.executable, "-P", "-m", module, suffix, f"{seconds:g}", *chosen]


def _await_ready(child: subprocess.Popen[bytes]) -> None:
    """Wait until the child has loaded its reader: that is not the file's fault, nor its time."""
    assert child.stdout is not None
    timer = threading.Timer(LOADING_DEADLINE, child.kill)
    timer.start()
    try:
        ready = child.stdout.readline()
    finally:
        timer.cancel()
    if ready != READY:
        raise TuneError(
            "music21 cannot be loaded", mend="install harmonykit again, with its libraries"
        )
