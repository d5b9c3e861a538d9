"""What is heard: groove, performance, strings, mix."""
