"""What is proved and tried about a rule folder: examples with teeth, and box cover."""
