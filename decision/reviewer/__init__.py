"""For the reviewer: why, what would change it, would it be said again, and what a change of the rules does."""
