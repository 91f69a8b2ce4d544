"""CDS Hooks 2.0.1: one service on four hooks, which reads what is prefetched and never calls a server."""
