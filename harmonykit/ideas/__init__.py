"""Ideas for lessons: what is true of a chord, a scale or a shape, and worth teaching."""
