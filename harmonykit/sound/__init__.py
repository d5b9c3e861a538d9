"""What is heard: groove, performance, strings, mix.

``play`` turns an arrangement into events, ``rehearse`` lays its bars to be practised, ``render``
turns events into samples; ``write_wav`` and
``midi_bytes`` make files of them.
"""

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.sound.events import play, play_loops, play_strings
    from harmonykit.sound.files import write_midi as midi_bytes
    from harmonykit.sound.performance import Event, Performance
    from harmonykit.sound.rehearsal import Rehearsal
    from harmonykit.sound.rehearsing import rehearse
    from harmonykit.sound.rendering import Sound, render, wav_bytes, write_wav
else:
    __getattr__, __dir__ = offered(__name__)

__all__ = [
    "Event",
    "Performance",
    "Rehearsal",
    "Sound",
    "midi_bytes",
    "play",
    "play_loops",
    "play_strings",
    "rehearse",
    "render",
    "wav_bytes",
    "write_wav",
]
