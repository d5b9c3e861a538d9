"""What is taken home: pages that need no server, and the results that come back as a code."""
