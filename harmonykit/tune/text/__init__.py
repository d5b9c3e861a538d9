"""The text form of a tune, read and written."""
