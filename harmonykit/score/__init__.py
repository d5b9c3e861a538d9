"""Files of music: MusicXML, ABC, MIDI and chord labels, read as tunes and written."""
