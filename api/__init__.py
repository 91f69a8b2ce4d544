"""The doors: HTTP and the command line. What is recommended, and why, comes from `decision` alone."""
