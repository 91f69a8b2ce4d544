"""Answers as text for a terminal and for papers."""
