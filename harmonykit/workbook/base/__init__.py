"""What all panels and pages have in common."""
