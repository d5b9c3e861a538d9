"""The page where a lesson is written."""
