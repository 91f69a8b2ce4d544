"""How the service stays up: workers and their supervisor, connections, reloads."""
