"""The command `thawline`."""
