"""The page where ideas for lessons are found."""
