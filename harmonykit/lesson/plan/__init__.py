"""What a lesson file says, read and checked."""
