"""Every rule in plain words, as one page."""
