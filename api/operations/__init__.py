"""What each operation takes and answers: parameters, messages, refusals, examples."""
