"""What one process of the service holds: who is in it, what is counted, watched and told."""
