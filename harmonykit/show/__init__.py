"""What is seen and heard."""
