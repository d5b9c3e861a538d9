"""Files of music: MusicXML, ABC, MIDI and chord labels, read as tunes and written."""

from typing import TYPE_CHECKING

from harmonykit.public import offered

if TYPE_CHECKING:
    from harmonykit.score.files import READABLE
    from harmonykit.score.labels import read_harte, write_harte
    from harmonykit.score.lead import lead_score
    from harmonykit.score.musicxml_out import write_musicxml
    from harmonykit.score.score import Score
else:
    __getattr__, __dir__ = offered(__name__)

__all__ = [
    "READABLE",
    "Score",
    "lead_score",
    "read_harte",
    "write_harte",
    "write_musicxml",
]
