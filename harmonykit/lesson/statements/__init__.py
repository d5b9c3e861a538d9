"""The calls of a lesson, each put in, proved, or refused."""
