"""From a lesson file to what a class is given."""
