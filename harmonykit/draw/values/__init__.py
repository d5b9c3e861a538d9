"""Values of theory, fretboard and tunes as they show themselves in a notebook."""
