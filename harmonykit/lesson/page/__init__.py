"""The lesson's page: one HTML file."""
