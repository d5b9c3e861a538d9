"""The commands with their options and helps; what they do is loaded when they run."""
