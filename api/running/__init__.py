"""How the service stays up: workers and their supervisor, reloads, limits, counts."""
