"""The pages for a person: forms that the service reads, answers and puts again, over the same rule book."""
