"""What a hand can hold, and how it goes from shape to shape."""
